"""How often a limit would have spoken over the last month, on what was measured at its place.

Sensors that stood there and do no more count for the time in which they did. The part of the year
in which a limit holds is not asked: it is led over all of the month.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from devices.reading import Quantity
from service.answers.shed_series import max_gap
from service.climate.dark_spans import Span, dark_spans
from service.climate.light_plan import LightPlan
from service.climate.light_state import LightTrack, light_at
from service.climate.samples import FlaggedSample, at_ms, ms_in, ms_of
from service.nests.place import PlaceKind
from service.quality.flag import Flag
from service.rules.limit import Limit, When
from service.rules.what_if import IsNight, Spell, spells, together
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

LAST_MONTH = timedelta(days=30)
_QUARTER_MS = 15 * 60 * 1000
_INSTANT = timedelta(milliseconds=1)
_PLAN_STEP = timedelta(minutes=5)
"""So exactly the lamps' plan, or the sun, tells night from day where no light sensor does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldHave:
    """What a limit would have said from ``since`` to ``until``.

    ``heard`` is how much of that time readings speak for, by the sensor that was heard longest;
    nought where nothing was measured there, and then the spells tell nothing. ``lowest`` and
    ``highest`` are of the readings that pass, None where none did.
    """

    since: datetime
    until: datetime
    heard: timedelta
    spells: tuple[Spell, ...]
    lowest: float | None = None
    highest: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRange:
    """From which to which value a local day went, by the readings that pass."""

    day: date
    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heard:
    """The readings of one sensor of that time, and for how long each speaks."""

    readings: Sequence[FlaggedSample]
    gap: timedelta


class LimitPast:
    """The last month at one place, to lead limits over; read from the store once."""

    def __init__(
        self, store: ReadingStore, settings: Settings, place: str, quantity: Quantity, now: datetime
    ) -> None:
        """Of readings measured up to ``now``.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        self._since, self._now = now - LAST_MONTH, now
        self._settings = settings
        self._store = store
        self._series = store.series()
        self._heard = [
            _Heard(
                readings=store.flagged_samples(one.id, self._since, now + _INSTANT),
                gap=max_gap(one, settings),
            )
            for one in self._series
            if one.place == place and one.quantity is quantity
        ]
        sure = [v for one in self._heard for _, v, flag in one.readings if flag == Flag.PASS]
        self._lowest, self._highest = min(sure, default=None), max(sure, default=None)
        self._night: IsNight | None = None

    def would_have_said(self, limit: Limit) -> WouldHave:
        """What a limit of that place and quantity would have said.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        is_night = _nobody_knows if limit.when is When.ALWAYS else self._is_night()
        each = [
            spells(limit, one.readings, is_night, max_gap=one.gap, now=self._now)
            for one in self._heard
        ]
        return WouldHave(
            since=self._since,
            until=self._now,
            heard=max((_covered(one) for one in self._heard), default=timedelta(0)),
            spells=together(each, high=limit.high is not None),
            lowest=self._lowest,
            highest=self._highest,
        )

    def days(self) -> tuple[DayRange, ...]:
        """The days of the month of which something is known, oldest first."""
        zone = self._settings.site.timezone
        found: dict[date, tuple[float, float]] = {}
        day_of: dict[int, date] = {}
        for one in self._heard:
            for at, value, flag in one.readings:
                if flag != Flag.PASS:
                    continue
                # Zones differ from UTC by whole quarters of an hour.
                quarter = at // _QUARTER_MS
                if quarter not in day_of:
                    day_of[quarter] = at_ms(quarter * _QUARTER_MS).astimezone(zone).date()
                day = day_of[quarter]
                least, most = found.get(day, (value, value))
                found[day] = min(least, value), max(most, value)
        return tuple(
            DayRange(day=day, least=span[0], most=span[1]) for day, span in sorted(found.items())
        )

    def _is_night(self) -> IsNight:
        if self._night is None:
            self._night = night_then(
                self._store, self._settings, self._series, self._since, self._now
            )
        return self._night


def night_then(
    store: ReadingStore,
    settings: Settings,
    series: Sequence[Series],
    since: datetime,
    until: datetime,
) -> Callable[[int], bool | None]:
    """Whether it was night at a millisecond: by the shed's first light sensor, else by the plan.

    As in life it is night once it has been dark for some time, not from the first dark reading.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    plan = settings.light
    sheds = {place.id for place in settings.places if place.kind is PlaceKind.SHED}
    light = next(
        (s for s in series if s.place in sheds and s.quantity is Quantity.ILLUMINANCE), None
    )
    spans: Sequence[Span] = ()
    if light is not None:
        readings = store.samples(light.id, since - timedelta(hours=1), until)
        gap = max(max_gap(light, settings), plan.dark_for)
        spans = dark_spans(readings, plan, gap)
    return _seen_or_planned(spans, plan)


def _seen_or_planned(spans: Sequence[Span], plan: LightPlan) -> IsNight:
    lag = ms_in(plan.dark_for)
    begins = [ms_of(span.since) + lag for span in spans]
    ends = [ms_of(span.until) + lag for span in spans]
    planned: dict[int, bool | None] = {}
    step = ms_in(_PLAN_STEP)

    def is_night(ms: int) -> bool | None:
        at = bisect_right(begins, ms) - 1
        if at >= 0 and ms <= ends[at]:
            return spans[at].dark
        slot = ms // step
        if slot not in planned:
            light = light_at(at_ms(slot * step), LightTrack(), plan, sensor_silent=True)
            planned[slot] = light.is_night
        return planned[slot]

    return is_night


def _nobody_knows(_: int) -> bool | None:
    return None


def _covered(heard: _Heard) -> timedelta:
    """How long readings speak: each to the next one, at most for the gap."""
    gap = ms_in(heard.gap)
    times = [at for at, _, _ in heard.readings]
    ms = sum(min(after - at, gap) for at, after in pairwise(times))
    return timedelta(milliseconds=ms)
