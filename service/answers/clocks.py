"""The clocks of mites and mould, read from the stores. Advisory."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.answers.air_by_hours import (
    PlaceAir,
    air_at,
    hourly,
    nearest_air,
    quarters,
    vapour,
    whole_hour,
)
from service.answers.place_series import PlaceSeries
from service.climate.mites import Generations, generations
from service.climate.mould import MouldIndex, SurfaceHour, mould_index, surface_hour
from service.nests.place import Place, PlaceKind
from service.nests.treatment import Against, Treatment, last_treatment
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

LONGEST = timedelta(days=180)
"""No more than half a year is counted."""

TREATED_KINDS = (PlaceKind.SHED, PlaceKind.FLIGHT, PlaceKind.CAGE, PlaceKind.BOX)


@dataclass(frozen=True, slots=True, kw_only=True)
class MiteClock:
    """At a place since ``since``: its last treatment, or, where ``treatment`` is None, the first
    reading; neither more than LONGEST ago. ``measured_at`` is the place whose thermometer told;
    ``grown`` is None where nothing did.
    """

    place: Place
    since: datetime
    treatment: Treatment | None
    measured_at: str | None
    grown: Generations | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldClock:
    """On a surface of ``place`` (or a place of kind surface itself). ``reckoned`` where no sensor
    on it measures how cold it is. ``why_not`` says what is missing where ``grown`` is None.
    """

    place: Place
    since: datetime
    treatment: Treatment | None
    reckoned: bool
    grown: MouldIndex | None
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClocksTold:
    """All clocks of the shed."""

    mites: tuple[MiteClock, ...]
    mould: tuple[MouldClock, ...]


class Clocks:
    """Reads for one page, as known at ``now``."""

    def __init__(
        self,
        store: ReadingStore,
        settings: Settings,
        treatments: Sequence[Treatment],
        now: datetime,
    ) -> None:
        """Raises StoreUnavailableError: the store can't be read now."""
        self._store, self._settings, self._now = store, settings, now
        self._treatments = treatments
        self._series: Sequence[Series] = tuple(store.series())
        self._within: Mapping[str, str | None] = {one.id: one.within for one in settings.places}
        self._known: dict[tuple[PlaceSeries, datetime], dict[datetime, float]] = {}

    def told(self) -> ClocksTold:
        """All of them.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        return ClocksTold(mites=self.mites(), mould=self.mould())

    def mites(self) -> tuple[MiteClock, ...]:
        """Of the shed, of what has a thermometer of its own, and of what was treated for itself.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        own = {one.place for one in self._treatments if one.stands and one.against is Against.MITES}
        return tuple(
            self._mites_at(place)
            for place in self._settings.places
            if place.kind in TREATED_KINDS
            and (
                place.kind is PlaceKind.SHED
                or place.id in own
                or air_at(place.id, self._series, self._settings) is not None
            )
        )

    def _mites_at(self, place: Place) -> MiteClock:
        told = self._last(place.id, Against.MITES)
        air = nearest_air(place.id, self._series, self._settings)
        since = self._since(told, air)
        hours = [] if air is None else self._hours(air.temperature, since)
        return MiteClock(
            place=place,
            since=since,
            treatment=told,
            measured_at=air.place if air else None,
            grown=generations(hours),
        )

    def mould(self) -> tuple[MouldClock, ...]:
        """Of each surface with a thermometer; without one, of the shed's coldest surface as the
        keeper described it.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        surfaces = [one for one in self._settings.places if one.kind is PlaceKind.SURFACE]
        measured = [
            (place, air)
            for place in surfaces
            if (air := air_at(place.id, self._series, self._settings)) is not None
        ]
        if measured:
            return tuple(self._on_measured(place, air) for place, air in measured)
        sheds = [one for one in self._settings.places if one.kind is PlaceKind.SHED]
        return tuple(self._on_described(place) for place in sheds[:1])

    def _on_measured(self, place: Place, surface: PlaceAir) -> MouldClock:
        around = self._around(place)
        told = self._last(place.id, Against.MOULD)
        since = self._since(told, surface)
        if around is None or around.humidity is None:
            why = "No sensor tells how damp the air around it is."
            return _unknown(place, since, told, why, reckoned=False)
        warm = self._quarters(around.temperature, since)
        moist = vapour(warm, self._quarters(around.humidity, since))
        cold = self._hours(surface.temperature, since)
        return self._grown(place, told, since, cold, moist, reckoned=False)

    def _around(self, place: Place) -> PlaceAir | None:
        """The air that touches a surface: of what it stands in, else of the shed."""
        sheds = [one.id for one in self._settings.places if one.kind is PlaceKind.SHED]
        around = place.within or (sheds[0] if sheds else None)
        return None if around is None else nearest_air(around, self._series, self._settings)

    def _on_described(self, place: Place) -> MouldClock:
        air = air_at(place.id, self._series, self._settings)
        told = self._last(place.id, Against.MOULD)
        since = self._since(told, air)
        surface = self._settings.surface
        if surface is None:
            why = "How cold the coldest surface gets is not known; set-up asks for it."
            return _unknown(place, since, told, why)
        if air is None or air.humidity is None:
            return _unknown(place, since, told, "No sensor tells how damp the shed is.")
        outdoors = self._outdoors(since)
        if surface.temperature_factor is not None and not outdoors:
            why = "It takes a thermometer outdoors to reckon how cold the surface gets."
            return _unknown(place, since, told, why)
        warm = self._quarters(air.temperature, since)
        moist = vapour(warm, self._quarters(air.humidity, since))
        cold = {
            at: surface_c
            for at, inside_c in warm.items()
            if (surface_c := surface.at_c(inside_c, outdoors.get(at))) is not None
        }
        of_hours = hourly(cold, since, self._now)
        return self._grown(place, told, since, of_hours, moist, reckoned=True)

    def _outdoors(self, since: datetime) -> Mapping[datetime, float]:
        for place in self._settings.places:
            if place.kind is PlaceKind.OUTDOORS:
                air = air_at(place.id, self._series, self._settings)
                if air is not None:
                    return self._quarters(air.temperature, since)
        return {}

    def _grown(
        self,
        place: Place,
        told: Treatment | None,
        since: datetime,
        cold: Sequence[float | None],
        moist: Mapping[datetime, float],
        *,
        reckoned: bool,
    ) -> MouldClock:
        both = zip(cold, hourly(moist, since, self._now), strict=True)
        hours: list[SurfaceHour | None] = [
            None if cold_c is None or vapour_pa is None else surface_hour(cold_c, vapour_pa)
            for cold_c, vapour_pa in both
        ]
        grown = mould_index(hours)
        return MouldClock(
            place=place,
            since=since,
            treatment=told,
            reckoned=reckoned,
            grown=grown,
            why_not="" if grown else "Nothing was measured in this time.",
        )

    def _last(self, place: str, against: Against) -> Treatment | None:
        return last_treatment(self._treatments, place, against, self._within, self._now)

    def _since(self, told: Treatment | None, air: PlaceAir | None) -> datetime:
        longest = whole_hour(self._now - LONGEST)
        if told is not None:
            return max(told.at, longest)
        if air is None:
            return longest
        return air.temperature.first(self._store, longest, self._now) or longest

    def _quarters(self, series: PlaceSeries, since: datetime) -> dict[datetime, float]:
        asked = (series, since)
        if asked not in self._known:
            self._known[asked] = quarters(self._store, series, since, self._now)
        return self._known[asked]

    def _hours(self, series: PlaceSeries, since: datetime) -> list[float | None]:
        return hourly(self._quarters(series, since), since, self._now)


def _unknown(
    place: Place, since: datetime, told: Treatment | None, why: str, *, reckoned: bool = True
) -> MouldClock:
    return MouldClock(
        place=place, since=since, treatment=told, reckoned=reckoned, grown=None, why_not=why
    )
