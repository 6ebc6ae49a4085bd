"""Times of day and durations as a scenario file tells them."""

import re
from datetime import time, timedelta

_CLOCK_TIME = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?")
_DURATION = re.compile(r"([0-9]{1,7}(?:\.[0-9]{1,3})?) (s|min|h|d)")
_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}


def clock_time(told: object) -> object:
    """A local time of day, as text or as TOML has it.

    Raises:
        ValueError: it is none, or it names an offset from UTC: the file's times are the shed's.
    """
    if isinstance(told, time) and told.tzinfo is None:
        return told
    if isinstance(told, str) and _CLOCK_TIME.fullmatch(told):
        return time.fromisoformat(told)
    raise ValueError("write a time of day like 18:30")


def duration(told: object) -> object:
    """A number and s, min, h or d.

    Raises:
        ValueError: it is none.
    """
    if isinstance(told, timedelta):
        return told
    found = _DURATION.fullmatch(told) if isinstance(told, str) else None
    if found is None:
        raise ValueError("write a number and s, min, h or d, like 30 min")
    return timedelta(seconds=float(found[1]) * _SECONDS[found[2]])
