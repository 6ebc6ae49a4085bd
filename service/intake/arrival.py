"""Stamps of arrival that rise with every message. Pure.

Readings are kept by series and millisecond. Messages that waited with the broker come within
one, and where they carry no time of their own the arrival is all that tells them apart.
"""

from datetime import datetime, timedelta

STEP = timedelta(milliseconds=1)
MAX_LEAD = timedelta(seconds=10)


class Arrivals:
    """Stamps messages in the order of their arrival, each later than the one before."""

    def __init__(self) -> None:
        self._last: datetime | None = None

    def stamp(self, now: datetime) -> datetime:
        """``now``, or at least 1 ms after the last stamp.

        Where that would be more than 10 s ahead of ``now`` the clock was put back, or the
        burst does not end: stamps begin again at ``now``, and may then repeat earlier ones.
        """
        stamp = now if self._last is None else max(now, self._last + STEP)
        if stamp - now > MAX_LEAD:
            stamp = now
        self._last = stamp
        return stamp
