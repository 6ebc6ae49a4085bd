"""How the light was, day by day: the answer to ``light``.

Days before the first reading of the shed are not told: nothing is known of them. Without a light
sensor a day has only what was planned and what the sun did, and ``coverage`` 0.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from typing_extensions import TypedDict

from service.answers.shed_series import ShedSeries, shed_series
from service.answers.telling import rfc3339, rfc3339_or_none
from service.climate.light_cycle import light_days
from service.climate.light_day import LightDay
from service.climate.light_spans import LightSpan
from service.climate.light_timer import lateness
from service.climate.samples import Sample, ms_of
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore

SpanAnswer = TypedDict("SpanAnswer", {"from": str, "to": str})


class LightAnswer(TypedDict):
    """One local date. ``lamps_late_min`` is how much later than planned the lamps came and went."""

    date: str
    on_at: str | None
    off_at: str | None
    on_by: str | None
    off_by: str | None
    light_h: float | None
    longer_than_day_before_h: float | None
    brighten_min: float | None
    dim_min: float | None
    dark_gap_min: float | None
    dark_gaps: list[SpanAnswer] | None
    night_light_min: float | None
    night_lights: list[SpanAnswer] | None
    planned_on_at: str | None
    planned_off_at: str | None
    lamps_late_min: float | None
    sunrise: str | None
    sunset: str | None
    civil_dawn: str | None
    civil_dusk: str | None
    is_over: bool
    coverage: float


_DAY = timedelta(days=1)
_AT_ONCE = timedelta(days=61)
_INSTANT = timedelta(microseconds=1)
_MINUTE = timedelta(minutes=1)
_HOUR = timedelta(hours=1)
_NOTHING_BEFORE = datetime(2015, 1, 1, tzinfo=UTC)
"""No reading of this project is older than the project, by far."""


def light(
    store: ReadingStore, settings: Settings, since: datetime, until: datetime, now: datetime
) -> list[LightAnswer]:
    """The local dates that lie at least partly in that time, oldest first; today is not over.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    of_shed = shed_series(tuple(store.series()), settings)
    end = min(until, now)
    first = _first_reading(store, of_shed, max(since, _NOTHING_BEFORE), end)
    if first is None:
        return []
    zone = settings.site.timezone
    dates = first.astimezone(zone).date(), (end - _INSTANT).astimezone(zone).date()
    asked = _Asked(store=store, settings=settings, of_shed=of_shed, now=now)
    return [_told(day) for day in asked.days(*dates)]


def light_of_days(
    store: ReadingStore,
    settings: Settings,
    first: date,
    last: date,
    now: datetime,
    *,
    width: timedelta | None = None,
) -> tuple[LightDay, ...]:
    """The light of the local dates from ``first`` to ``last``, for pages.

    Args:
        store: where the readings are.
        settings: which tell of the lamps, the place and the light sensor.
        first: the first date wanted.
        last: the last one.
        now: the end of what is known.
        width: None for every reading; otherwise means of this width are enough (a year on one
            picture): edges are then known no better, and what brought the light mostly is not.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    of_shed = shed_series(tuple(store.series()), settings)
    asked = _Asked(store=store, settings=settings, of_shed=of_shed, now=now, width=width)
    return tuple(asked.days(first, last))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """Of which shed, as known at ``now``, and how finely (``width`` as in light_of_days)."""

    store: ReadingStore
    settings: Settings
    of_shed: ShedSeries
    now: datetime
    width: timedelta | None = None

    def days(self, first: date, last: date) -> Iterator[LightDay]:
        """Some weeks at a time: a year of readings need not lie in memory at once."""
        while first <= last:
            end = min(last, first + _AT_ONCE - _DAY)
            yield from self._days(first, end)
            first = end + _DAY

    def _days(self, first: date, last: date) -> tuple[LightDay, ...]:
        zone = self.settings.site.timezone
        midnight = datetime.combine(first, time(0), zone).astimezone(UTC)
        # The day before is looked at for the sake of comparing, and light may be of the one before.
        since, until = midnight - 3 * _DAY, midnight + _DAY * ((last - first).days + 3)
        gap, width = self.of_shed.light_gap, self.width
        found = light_days(
            self._samples(since, min(until, self.now + _INSTANT)),
            self.settings.light,
            first - _DAY,
            last,
            max_gap=gap if width is None else max(gap, width + width / 2),
            now=self.now,
        )
        return found[1:]

    def _samples(self, since: datetime, until: datetime) -> Sequence[Sample]:
        light = self.of_shed.light
        if light is None:
            return ()
        if self.width is None:
            return light.samples(self.store, since, until)
        means = light.means(self.store, since, until, width=self.width)
        return [(ms_of(one.start), one.mean) for one in means]


def _first_reading(
    store: ReadingStore, of_shed: ShedSeries, since: datetime, until: datetime
) -> datetime | None:
    every = (of_shed.light, of_shed.temperature, of_shed.humidity)
    firsts = (one.first(store, since, until) for one in every if one is not None)
    return min((one for one in firsts if one is not None), default=None)


def _told(day: LightDay) -> LightAnswer:
    sun = day.daylight
    return {
        "date": day.day.isoformat(),
        "on_at": rfc3339_or_none(day.on_at),
        "off_at": rfc3339_or_none(day.off_at),
        "on_by": day.on_by,
        "off_by": day.off_by,
        "light_h": _rounded(day.light_h, 3),
        "longer_than_day_before_h": _in(day.longer, _HOUR, 3),
        "brighten_min": _in(day.brighten, _MINUTE),
        "dim_min": _in(day.dim, _MINUTE),
        "dark_gap_min": _rounded(day.dark_gap_min),
        "dark_gaps": _spans(day.dark_gaps),
        "night_light_min": _rounded(day.night_light_min),
        "night_lights": _spans(day.night_lights),
        "planned_on_at": rfc3339(day.planned.on_at) if day.planned else None,
        "planned_off_at": rfc3339(day.planned.off_at) if day.planned else None,
        "lamps_late_min": _in(lateness(day), _MINUTE),
        "sunrise": rfc3339_or_none(sun.sunrise if sun else None),
        "sunset": rfc3339_or_none(sun.sunset if sun else None),
        "civil_dawn": rfc3339_or_none(sun.civil_dawn if sun else None),
        "civil_dusk": rfc3339_or_none(sun.civil_dusk if sun else None),
        "is_over": day.is_over,
        "coverage": round(day.coverage, 4),
    }


def _spans(spans: Sequence[LightSpan] | None) -> list[SpanAnswer] | None:
    if spans is None:
        return None
    return [{"from": rfc3339(span.since), "to": rfc3339(span.until)} for span in spans]


def _in(span: timedelta | None, unit: timedelta, digits: int = 1) -> float | None:
    return None if span is None else round(span / unit, digits)


def _rounded(value: float | None, digits: int = 1) -> float | None:
    return None if value is None else round(value, digits)
