"""Days of air for the long pictures: between what the air was on each. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.local_words import local_day, start_of_day
from service.store.reading_store import Mean

STEP = timedelta(minutes=30)
"""The means that a day is made of: a blip of one reading does not make a day's low."""

WHOLE = 0.9
"""A day of which less than this was measured may have been colder or warmer than is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWidth:
    """One local day. Lowest and highest half-hour means; damp is None where none was measured.

    ``share`` of the day, as far as it has gone, was measured [0 to 1].
    """

    day: date
    low_c: float
    high_c: float
    damp_low_pct: float | None
    damp_high_pct: float | None
    share: float

    @property
    def whole(self) -> bool:
        """Whether so much was measured that its low and high are the day's."""
        return self.share >= WHOLE


def day_widths(
    warmth: Sequence[Mean], damp: Sequence[Mean], zone: ZoneInfo, now: datetime
) -> tuple[DayWidth, ...]:
    """The days of which anything was measured, oldest first; the others are absent.

    Args:
        warmth: half-hour means of temperature [°C], oldest first.
        damp: those of humidity [%] from the same sensor; may be empty.
        zone: of the shed; its days may have 23 or 25 hours.
        now: the last day ends here.
    """
    damp_on = _by_day(damp, zone)
    return tuple(
        DayWidth(
            day=day,
            low_c=min(found),
            high_c=max(found),
            damp_low_pct=min(damp_on[day]) if day in damp_on else None,
            damp_high_pct=max(damp_on[day]) if day in damp_on else None,
            share=_share(day, len(found), zone, now),
        )
        for day, found in _by_day(warmth, zone).items()
    )


def _by_day(means: Sequence[Mean], zone: ZoneInfo) -> Mapping[date, list[float]]:
    found: dict[date, list[float]] = {}
    for mean in means:
        found.setdefault(local_day(mean.start, zone), []).append(mean.mean)
    return found


def _share(day: date, heard: int, zone: ZoneInfo, now: datetime) -> float:
    begin = start_of_day(day, zone)
    end = min(start_of_day(day + timedelta(days=1), zone), now)
    return min(1.0, heard / max(1.0, (end - begin) / STEP))


def runs_of(days: Sequence[DayWidth]) -> list[list[DayWidth]]:
    """Stretches of days without one missing."""
    runs: list[list[DayWidth]] = []
    for one in days:
        if runs and one.day - runs[-1][-1].day == timedelta(days=1):
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs
