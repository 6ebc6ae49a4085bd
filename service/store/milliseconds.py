"""Times as whole milliseconds since 1970 UTC, as readings.db keeps them. Pure."""

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)


def to_ms(at: datetime) -> int:
    """The millisecond in which ``at`` lies; what is finer is cut off."""
    since = at - EPOCH
    return since.days * 86_400_000 + since.seconds * 1000 + since.microseconds // 1000


def first_ms_from(at: datetime) -> int:
    """The first whole millisecond that is not before ``at``: for the bounds of a window."""
    return -((EPOCH - at) // _MS)


def from_ms(ms: int) -> datetime:
    """The inverse of ``to_ms``, in UTC."""
    return EPOCH + timedelta(milliseconds=ms)


def span_ms(span: timedelta) -> int:
    """A duration in whole milliseconds."""
    return span // _MS
