"""Times as senders write them: RFC 3339 text, or seconds or milliseconds since 1970.

Source: RFC 3339, section 5.6: date and time with an offset from UTC; ``t`` and ``z`` may be
small and a space may stand for the ``T`` (notes there). A leap second (section 5.7) is taken
as the second after the one before it.
"""

import re
from datetime import UTC, datetime, timedelta

from devices.formats.sender_name import quoted

# As for SenML (RFC 8428, section 4.6): a number below is the sender's own running time.
FIRST_SECOND = 2**28
# In seconds the year 5138, in milliseconds March 1973: between the two nothing is in doubt.
FIRST_MILLISECOND = 10**11
_YEAR_10000_MS = 253_402_300_800_000

_RFC_3339 = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ]([0-9]{2}:[0-9]{2}):([0-9]{2})(\.[0-9]{1,20})?"
    r"([Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_ALLOWED = (
    "a time is RFC 3339 text with its zone, such as 2026-03-01T21:00:00Z, "
    "or a number of seconds or milliseconds since 1970"
)


def read_time(sent: object) -> datetime:
    """The moment [UTC].

    Raises:
        ValueError: it is no time; the message is a sentence.
    """
    if isinstance(sent, str):
        return _read_text(sent)
    if isinstance(sent, int | float) and not isinstance(sent, bool):
        return _read_number(sent)
    raise ValueError(f"{quoted(sent)} is no time: {_ALLOWED}")


def _read_number(sent: float) -> datetime:
    if FIRST_SECOND <= sent < FIRST_MILLISECOND:
        return datetime.fromtimestamp(sent, UTC)
    if FIRST_MILLISECOND <= sent < _YEAR_10000_MS:
        return datetime.fromtimestamp(sent / 1000, UTC)
    raise ValueError(f"{quoted(sent)} is no time: {_ALLOWED}")


def _read_text(sent: str) -> datetime:
    match = _RFC_3339.fullmatch(sent)
    if match is None:
        raise ValueError(f"{quoted(sent)} is no time: {_ALLOWED}")
    day, minute, second, fraction, offset = match.groups()
    leap = second == "60"
    told = f"{day}T{minute}:{'59' if leap else second}{fraction or ''}{offset.upper()}"
    try:
        at = datetime.fromisoformat(told).astimezone(UTC)
        return at + timedelta(seconds=1) if leap else at
    except (ValueError, OverflowError) as error:
        raise ValueError(f"{quoted(sent)} is no time that there is") from error
