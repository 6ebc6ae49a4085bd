"""How a time and a number are told in an answer."""

import math
from datetime import UTC, datetime

from service.quality.judge import MAX_AHEAD


def rfc3339(at: datetime) -> str:
    """An instant as RFC 3339 in UTC, to the second or, where there is a part, below it."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def rfc3339_or_none(at: datetime | None) -> str | None:
    """The same for an instant that may be unknown."""
    return None if at is None else rfc3339(at)


def finite(value: float) -> float | None:
    """The value, or None where it is no number: JSON has none of infinity and NaN."""
    return value if math.isfinite(value) else None


def age_s(at: datetime, now: datetime) -> float | None:
    """Seconds since ``at``; 0 for what is a little in the future.

    What lies further ahead was stamped by a clock that has been put right since: nobody
    knows its age, and it is None.
    """
    if at - now > MAX_AHEAD:
        return None
    return max(0.0, (now - at).total_seconds())
