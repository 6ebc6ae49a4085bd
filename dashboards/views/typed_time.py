"""A day and time as somebody typed it, in the shed's own time. Pure."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from service.errors import InputError


def typed_time(told: str, zone: ZoneInfo, *, now: datetime | None = None) -> datetime:
    """The instant, in UTC. A time with an offset is taken at its word.

    Where clocks are put back an hour comes twice: the later is meant, if it is not after ``now``.

    Raises:
        InputError: it is no time, or clocks were put forward over it.
    """
    try:
        at = datetime.fromisoformat(told.strip())
        if at.tzinfo is not None:
            return at.astimezone(UTC)
        first, second = (at.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    except (ValueError, OverflowError) as error:
        raise InputError(f"{told[:40]!r} is no day and time, like 2026-04-21 18:30.") from error
    if first.astimezone(zone).replace(tzinfo=None) != at:
        raise InputError(f"{at:%d.%m.%Y} has no {at:%H:%M}: clocks were put forward over it.")
    return second if now is not None and second <= now else first
