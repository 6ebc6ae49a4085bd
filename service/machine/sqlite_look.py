"""Whether the SQLite of this machine has a fault that we know of.

Source: sqlite.org/wal.html, "The WAL-reset bug": versions 3.7.0 to 3.51.2 can lose or spoil a
commit when two connections write or checkpoint one write-ahead log at the same moment; mended
in 3.51.3, and in 3.50.7 and 3.44.6 of the older branches.
"""

from service.machine.finding import Finding, well

_FAULTY_FROM = (3, 7, 0)
_MENDED = (3, 51, 3)
_MENDED_BRANCHES = ((3, 44, 6), (3, 50, 7))


def has_wal_reset_fault(version: str) -> bool:
    """Whether a version such as ``3.40.1`` has it."""
    number = tuple(int(part) for part in version.split(".")[:3])
    if number < _FAULTY_FROM or number >= _MENDED:
        return False
    return not any(number[:2] == one[:2] and number >= one for one in _MENDED_BRANCHES)


def look_at_sqlite(version: str) -> Finding:
    """Advice at most: how our files are used, the fault can't be met."""
    what = "SQLite"
    if not has_wal_reset_fault(version):
        return well(what, f"SQLite {version} has no fault that we know of.")
    return well(
        what,
        f"SQLite {version} has a rare fault with two writers of one write-ahead log. It can't "
        "happen here: watch alone writes and tidies readings.db, everybody else only reads it, "
        "and records.db has no such log.",
        "When the system offers a newer SQLite (3.51.3 or later), take it.",
    )
