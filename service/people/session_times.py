"""How long a browser stays signed in. Pure.

30 days after it was last used (a phone that is carried to the nests every day is not asked
again), and 90 days after the sign-in whatever happens.
"""

from datetime import datetime, timedelta

SLIDING = timedelta(days=30)
AT_MOST = timedelta(days=90)
NOTED_EVERY = timedelta(hours=1)
"""Use is noted at most so often: every note is a write to the card."""

WALL_NOTED_EVERY = timedelta(minutes=15)

FRESH = timedelta(minutes=15)
"""So long after the sign-in nobody is asked for the password again."""


def ends_at(made_at: datetime, now: datetime) -> datetime:
    """When a session that is used at ``now`` will end."""
    return min(made_at + AT_MOST, now + SLIDING)


def is_to_be_noted(seen_at: datetime, now: datetime) -> bool:
    """Whether this use is worth a write; also when the clock was set back."""
    return abs(now - seen_at) >= NOTED_EVERY


def is_fresh(made_at: datetime, now: datetime) -> bool:
    """Whether the password was given just now."""
    return timedelta(0) <= now - made_at <= FRESH
