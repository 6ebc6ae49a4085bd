"""The air that duties ask for, from what was measured."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.answers.shed_series import max_gap
from service.climate.food_clock import Keeping, Spent, spent
from service.climate.nights import usable
from service.climate.samples import Measured, ms_of, samples
from service.nests.duty_air import AirTold, FoodOut, Warmth
from service.quality.flag import Flag
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

LONGEST_HOLE = timedelta(hours=1)
"""In a shorter silence a shed does not become hot and cool down again unseen."""

LATELY = timedelta(hours=24)
"""The hours to come are taken for as warm as the warmest of so long before."""

_HOUR = timedelta(hours=1)
_INSTANT = timedelta(microseconds=1)
_MS = timedelta(milliseconds=1)


class MeasuredAir:
    """Fulfils ``DutyAir``: by the thermometer at the place, else at the next place around it."""

    def __init__(self, store: ReadingStore, settings: Settings) -> None:
        self._store = store
        self._settings = settings
        self._places = {place.id: place for place in settings.places}
        self._series: Sequence[Series] | None = None
        self._known: dict[tuple[str, float, datetime, datetime], AirTold] = {}
        self._soured: dict[tuple[str, Keeping, FoodOut], AirTold] = {}

    def warmth(self, place: str, over_c: float, since: datetime, until: datetime) -> AirTold:
        """Once over is over. Else it is told only where the day was followed up to ``until``.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        leading = self._nearest(place)
        if leading is None:
            return AirTold(warmth=Warmth.CANNOT_TELL, words="no thermometer tells of this place")
        asked = (leading.place, over_c, since, until)
        if asked not in self._known:
            self._known[asked] = self._told(leading, over_c, since, until)
        return self._known[asked]

    def souring(self, place: str, keeping: Keeping, food: FoodOut) -> AirTold:
        """Sooner rather than later: the time to come is as warm as the warmest of the last day,
        and time that nobody measured may have been the hottest of the table.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        leading = self._nearest(place)
        if leading is None:
            return AirTold(warmth=Warmth.CANNOT_TELL, words="no thermometer tells of this place")
        asked = (leading.place, keeping, food)
        if asked not in self._soured:
            self._soured[asked] = self._sours(leading, keeping, food)
        return self._soured[asked]

    def _sours(self, leading: Series, keeping: Keeping, food: FoodOut) -> AirTold:
        gap = max_gap(leading, self._settings)
        since = min(food.put_out - LONGEST_HOLE, food.now - LATELY)
        through_time = place_series(self._series or (), leading, self._settings.sensors)
        window = through_time.window(self._store, since, food.now + _INSTANT)
        # What is doubted may make food sour, and never makes it keep.
        told, sure = samples(window), samples(_undoubted(window))
        hole = max(gap, LONGEST_HOLE) // _MS
        from_ms, to_ms = ms_of(food.put_out), ms_of(food.now)
        out = Spent(
            least=spent(told, keeping, from_ms, to_ms, hole).least,
            most=spent(sure, keeping, from_ms, to_ms, hole).most,
        )
        where = self._places[leading.place].name
        recent = [value for at, value in told if at >= ms_of(food.now - LATELY)]
        if not recent or to_ms - told[-1][0] > gap // _MS:
            return self._unheard(out.most, keeping, food, where)
        keeps_h = keeping.hours_at(max(recent))
        ahead = (food.until - food.now) / _HOUR / keeps_h
        warmest = f"{max(recent):.1f}° at most in {where} in 24 h"
        if out.least + ahead >= 1:
            left = timedelta(hours=max(0.0, 1 - out.least) * keeps_h)
            words = f"sour {self._about(food.now, left)}, {warmest}"
            return AirTold(warmth=Warmth.OVER, words=words)
        if not sure or to_ms - sure[-1][0] > gap // _MS:
            words = f"what is heard from {where} is in doubt"
            return AirTold(warmth=Warmth.CANNOT_TELL, words=words)
        if out.most + ahead >= 1:
            words = f"nothing sure heard from {where} for a part of the time"
            return AirTold(warmth=Warmth.CANNOT_TELL, words=words)
        return AirTold(warmth=Warmth.NOT_OVER, words=warmest)

    def _unheard(self, most: float, keeping: Keeping, food: FoodOut, where: str) -> AirTold:
        """Nobody knows how warm it is: only what keeps in any warmth keeps for sure."""
        ahead = (food.until - food.now) / _HOUR / keeping.hotter_h
        warmth = Warmth.NOT_OVER if most + ahead < 1 else Warmth.CANNOT_TELL
        return AirTold(warmth=warmth, words=f"nothing is heard from {where}")

    def _nearest(self, place: str) -> Series | None:
        if self._series is None:
            self._series = tuple(self._store.series())
        standing = [
            one
            for one in self._series
            if one.quantity is Quantity.TEMPERATURE and stands_there(one, self._settings.sensors)
        ]
        around: str | None = place
        while around is not None:
            for one in standing:
                if one.place == around:
                    return one
            known = self._places.get(around)
            around = known.within if known else None
        return None

    def _told(self, leading: Series, over_c: float, since: datetime, until: datetime) -> AirTold:
        through_time: PlaceSeries = place_series(
            self._series or (), leading, self._settings.sensors
        )
        window = through_time.window(self._store, since, until + _INSTANT)
        heard = list(usable(window))
        where = self._places[leading.place].name
        warmest = max(heard, key=lambda one: one.value, default=None)
        if warmest is not None and warmest.value > over_c:
            at = self._clock(warmest.measured_at)
            words = f"{warmest.value:.1f}° at {at} in {where}"
            return AirTold(warmth=Warmth.OVER, words=words)
        gap = max_gap(leading, self._settings)
        hole = self._hole(heard, since, until, gap)
        if hole is not None:
            return AirTold(warmth=Warmth.CANNOT_TELL, words=f"nothing heard from {where} {hole}")
        doubted = self._hole(list(_undoubted(heard)), since, until, gap)
        if doubted is not None:
            words = f"what was heard from {where} {doubted} is in doubt"
            return AirTold(warmth=Warmth.CANNOT_TELL, words=words)
        most = "" if warmest is None else f"{warmest.value:.1f}° at most in {where}"
        return AirTold(warmth=Warmth.NOT_OVER, words=most)

    def _hole(
        self, heard: Sequence[Measured], since: datetime, until: datetime, gap: timedelta
    ) -> str | None:
        """When it was not heard for too long, in words; None where it was followed throughout."""
        last = max((one.measured_at for one in heard), default=since)
        if until - last > gap:
            return f"since {self._clock(last)}" if heard else "that day"
        told = [since, *(one.measured_at for one in heard), until]
        for before, after in pairwise(told):
            if after - before > max(gap, LONGEST_HOLE):
                return f"from {self._clock(before)} to {self._clock(after)}"
        return None

    def _about(self, now: datetime, left: timedelta) -> str:
        """By half hours, rather sooner: no table of keeping times knows the minute."""
        if not left:
            return "by now"
        local = (now + left).astimezone(self._settings.site.timezone)
        past_the_half = timedelta(minutes=local.minute % 30, seconds=local.second)
        if past_the_half > left:
            return "within half an hour"
        return f"about {self._clock(now + left - past_the_half)}"

    def _clock(self, at: datetime) -> str:
        local = at.astimezone(self._settings.site.timezone)
        return f"{local.hour}:{local:%M}"


def _undoubted(readings: Iterable[Measured]) -> Iterator[Measured]:
    """Those that may say that all is well."""
    return (one for one in readings if one.flag == Flag.PASS)
