"""Numbers, days and times as they stand in a cell. Pure.

Every reader raises ValueError with a sentence that names the value and what is allowed.
"""

import math
import re
from datetime import UTC, date, datetime

MOST = 2**63 - 1
"""The largest whole number that the records hold."""

_WHOLE = re.compile(r"[0-9]{1,19}", re.ASCII)
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?", re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?"
    r"(Z|[+-][0-9]{2}:[0-9]{2})",
    re.ASCII,
)


def whole_of(text: str) -> int:
    """A whole number from 0 on."""
    if not _WHOLE.fullmatch(text) or int(text) > MOST:
        raise ValueError(f"{shown(text)} is no whole number from 0 on")
    return int(text)


def number_of(text: str) -> float:
    """A number with a decimal point."""
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"{shown(text)} is no number; write it with a decimal point, as 2.1")
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{shown(text)} is too large")
    return value


def number_written(value: float) -> str:
    """The shortest that is read back as the same number."""
    told = repr(float(value))
    return told.removesuffix(".0")


def day_of(text: str) -> date:
    """A day of the shed's calendar."""
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise ValueError(f"{shown(text)} is no day; write it as 2026-04-21")


def time_of(text: str) -> datetime:
    """An instant; another zone than UTC may be told by its distance."""
    try:
        if _TIME.fullmatch(text):
            return datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise ValueError(f"{shown(text)} is no time; write it in UTC, as 2026-04-21T18:30:00Z")


def time_written(at: datetime) -> str:
    """``2026-04-21T18:30:00Z``, with six decimals where they are not nought."""
    return at.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"


def shown(text: str) -> str:
    """A value in a sentence, cut short where it is long."""
    return repr(text if len(text) <= 60 else f"{text[:57]}...")
