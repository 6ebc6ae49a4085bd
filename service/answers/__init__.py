"""What scripts and pages are told: the same facts, with the same keys, by every door.

Each answer is a pure function of what the stores hold, the settings and ``now``. Keys are
a contract: more may be added, none renamed. Times are RFC 3339 in UTC, unknown is None.
"""
