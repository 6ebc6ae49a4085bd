"""The clock of one simulated day: when birds are awake in it, by the shed's own time."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from simulated_feeds.birds.intervals import Intervals, clipped
from simulated_feeds.birds.states import seconds
from simulated_feeds.day import DAY

# With the lamps of an ordinary breeding shed: common practice, no source.
WAKES, ROOSTS = time(6, 30), time(20, 30)


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """``dates`` are the local dates that the day touches."""

    at: datetime
    begin_s: int
    end_s: int
    zone: ZoneInfo
    dates: tuple[date, ...]
    waking: Intervals

    def local_s(self, day: date, at: time) -> int:
        """A local time of a date as an instant."""
        return local_s(day, at, self.zone)


def local_s(day: date, at: time, zone: ZoneInfo) -> int:
    """A local time of a date as an instant."""
    return seconds(datetime.combine(day, at, zone))


def calendar_day(at: datetime, zone: ZoneInfo) -> CalendarDay:
    """The day that begins at an instant [UTC]."""
    first = at.astimezone(zone).date()
    last = (at + DAY - timedelta(seconds=1)).astimezone(zone).date()
    dates = tuple(
        date.fromordinal(number) for number in range(first.toordinal(), last.toordinal() + 1)
    )
    begin_s = seconds(at)
    end_s = seconds(at.astimezone(UTC) + DAY)
    waking = [(local_s(day, WAKES, zone), local_s(day, ROOSTS, zone)) for day in dates]
    return CalendarDay(
        at=at,
        begin_s=begin_s,
        end_s=end_s,
        zone=zone,
        dates=dates,
        waking=clipped(waking, begin_s, end_s),
    )
