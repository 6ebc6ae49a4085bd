"""Times as they are typed on the command line."""

from datetime import UTC, datetime

from service.errors import InputError


def moment(text: str, option: str) -> datetime:
    """An RFC 3339 time with its offset, in UTC.

    Raises:
        InputError: it is no such time.
    """
    try:
        at = datetime.fromisoformat(text.upper())
        if at.tzinfo is not None:
            return at.astimezone(UTC)
    except (ValueError, OverflowError):  # in the year 1 or 9999 its offset may lead out of time
        pass
    raise InputError(f"{option}: {text!r} is no RFC 3339 time, such as 2026-03-01T21:00:00Z")
