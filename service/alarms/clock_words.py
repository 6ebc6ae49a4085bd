"""What an alarm says of a sender whose clock is wrong."""

from datetime import datetime, timedelta, tzinfo

from service.alarms.wording import clock_time

_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)


def clock_text(
    device: str, *, place_name: str, ahead: timedelta, since: datetime, zone: tzinfo
) -> str:
    """``ahead`` is negative for a clock that is behind.

    For example "Box 2: the clock of th-2 is 3 hours ahead, seen at 09:02. Its readings are kept
    by the time they come. Start it anew, or set its clock."
    """
    side, what = "ahead", "Its readings are kept by the time they come."
    if ahead < timedelta(0):
        side, what = "behind", "Its readings look old, and warnings from it come late."
    return (
        f"{place_name}: the clock of {device} is {_long(abs(ahead))} {side}, seen at "
        f"{clock_time(since, zone)}. {what} Start it anew, or set its clock."
    )


def _long(span: timedelta) -> str:
    if span >= 2 * _DAY:
        return f"{span / _DAY:.0f} days"
    if span >= 2 * _HOUR:
        return f"{span / _HOUR:.0f} hours"
    return f"{span / timedelta(minutes=1):.0f} minutes"
