"""How a time and a number are told in an answer."""

import math
from datetime import UTC, datetime


def rfc3339(at: datetime) -> str:
    """An instant as RFC 3339 in UTC, to the second or, where there is a part, below it."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def rfc3339_or_none(at: datetime | None) -> str | None:
    """The same for an instant that may be unknown."""
    return None if at is None else rfc3339(at)


def finite(value: float) -> float | None:
    """The value, or None where it is no number: JSON has none of infinity and NaN."""
    return value if math.isfinite(value) else None


def age_s(at: datetime, now: datetime) -> float:
    """Seconds since ``at``; what is (a little) in the future has no age yet: 0."""
    return max(0.0, (now - at).total_seconds())
