"""The air that duties ask for, from what was measured."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.answers.shed_series import max_gap
from service.climate.nights import usable
from service.climate.samples import Measured
from service.nests.duty_air import AirTold, Warmth
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

LONGEST_HOLE = timedelta(hours=1)
"""In a shorter silence a shed does not become hot and cool down again unseen."""

_INSTANT = timedelta(microseconds=1)


class MeasuredAir:
    """Fulfils ``DutyAir``: by the thermometer at the place, else at the next place around it."""

    def __init__(self, store: ReadingStore, settings: Settings) -> None:
        self._store = store
        self._settings = settings
        self._places = {place.id: place for place in settings.places}
        self._series: Sequence[Series] | None = None
        self._known: dict[tuple[str, float, datetime, datetime], AirTold] = {}

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
        hole = self._hole(heard, since, until, max_gap(leading, self._settings))
        if hole is not None:
            return AirTold(warmth=Warmth.CANNOT_TELL, words=f"nothing heard from {where} {hole}")
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

    def _clock(self, at: datetime) -> str:
        local = at.astimezone(self._settings.site.timezone)
        return f"{local.hour}:{local:%M}"
