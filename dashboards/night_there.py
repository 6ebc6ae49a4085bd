"""How the last night was at a place, by the sensor that is nearest to it."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from dashboards.shed_air import AirSource, ShedAir
from dashboards.views.banks import limits_at
from dashboards.views.night_words import NightThere
from service.answers.place_series import PlaceSeries
from service.climate.night_air import NightAir, Series
from service.climate.night_summary import Counted, summarise_night
from service.climate.nights import Night, usable
from service.climate.samples import samples
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, StoredReading

_SO_FAR = timedelta(hours=2)
"""A night that has just begun says nothing yet: until then the one before is told."""

_LOOK_BACK = timedelta(hours=30)
_NO_SETPOINT = 0.0


class LastNights:
    """The last night, read once for each sensor, however many places ask."""

    def __init__(
        self, air: ShedAir, store: ReadingStore, settings: Settings, now: datetime
    ) -> None:
        self._air = air
        self._store = store
        self._settings = settings
        self._now = now
        self._within: Mapping[str, str | None] = {
            place.id: place.within for place in settings.places
        }
        self._night = self._last_night()
        self._known: dict[str, NightThere] = {}

    def at(self, place: str) -> NightThere | None:
        """None where no sensor stands there, nor at a place around it."""
        source = self._nearest(place)
        if source is None:
            return None
        if source.device not in self._known:
            self._known[source.device] = self._there(source)
        return self._known[source.device]

    def _nearest(self, place: str) -> AirSource | None:
        around: str | None = place
        while around is not None:
            for source in self._air.sources:
                if source.place == around and source.stands:
                    return source
            around = self._within.get(around)
        return None

    def _last_night(self) -> Night | None:
        nights = [
            night
            for night in self._air.nights(self._now - _LOOK_BACK)
            if night.until is not None or self._now - night.since >= _SO_FAR
        ]
        return nights[-1] if nights else None

    def _there(self, source: AirSource) -> NightThere:
        limits = limits_at(self._settings.limits, source.place, dark=True)
        night, gap = self._night, source.max_gap
        summary, heard = None, None
        if night is not None:
            until = night.until or self._now
            warmth = self._window(source.temperature, night.since - gap, until)
            damp = self._window(source.humidity, night.since - gap, until)
            cold_c = _NO_SETPOINT if limits.cold_c is None else limits.cold_c
            air = NightAir(
                temperature=Series(samples=samples(warmth), max_gap=gap),
                humidity=Series(samples=samples(damp), max_gap=gap),
            )
            summary = summarise_night(night, air, Counted(below_c=(cold_c,)), now=self._now)
            told = [one.measured_at for one in usable(warmth) if one.measured_at >= night.since]
            heard = max(told, default=None)
        return NightThere(
            place=source.place,
            device=source.device,
            summary=summary,
            heard_until=heard,
            limits=limits,
            max_gap=gap,
        )

    def _window(
        self, series: PlaceSeries | None, since: datetime, until: datetime
    ) -> Sequence[StoredReading]:
        return () if series is None else series.window(self._store, since, until)
