"""Whose air is shown, and reading it from the store: the channel, the light, the last night."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboards.views.banks import AirLimits, AirMoment, air_moment, limits_at
from dashboards.views.channel_view import (
    ChannelView,
    LightSpan,
    dark_at,
    light_spans,
    strands,
)
from dashboards.views.wall_view import LastNight
from devices.reading import Quantity
from service.answers.latest import is_fresh
from service.answers.nights import known_nights
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.answers.shed_series import max_gap, shed_series
from service.climate.nights import Night, usable
from service.light_path import LightPath
from service.nests.place import Place, PlaceKind
from service.settings.settings import Settings
from service.store.reading_store import Bucket, Latest, Mean, ReadingStore, Series


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSource:
    """One sensor that tells temperature, and humidity where it has it.

    What stood at its place before it and stands there no more has told the past. ``stands``
    is False where nothing does any more: then there is only a past.
    """

    place: str
    device: str
    temperature: PlaceSeries
    humidity: PlaceSeries | None
    max_gap: timedelta
    stands: bool = True


def air_sources(series: Sequence[Series], settings: Settings) -> tuple[AirSource, ...]:
    """One for each sensor that stands somewhere: those of a shed first, then in walking order.

    Where none stands any more it is the last that did.
    """
    order = {place.id: n for n, place in enumerate(_shed_first(settings))}
    found = [
        _source(one, series, settings)
        for one in series
        if one.quantity is Quantity.TEMPERATURE
        and one.place in order
        and _is_leading(one, series, settings)
    ]
    # Within a place, a sensor that tells humidity too comes before one that does not.
    return tuple(sorted(found, key=lambda s: (order[s.place], s.humidity is None, s.device)))


def _is_leading(one: Series, series: Sequence[Series], settings: Settings) -> bool:
    if stands_there(one, settings.sensors):
        return True
    here = [other for other in series if (other.place, other.quantity) == (one.place, one.quantity)]
    return one is here[-1] and not any(stands_there(other, settings.sensors) for other in here)


def _source(one: Series, series: Sequence[Series], settings: Settings) -> AirSource:
    damp = next(
        (
            other
            for other in series
            if (other.device, other.place) == (one.device, one.place)
            and other.quantity is Quantity.RELATIVE_HUMIDITY
        ),
        None,
    )
    return AirSource(
        place=one.place,
        device=one.device,
        temperature=place_series(series, one, settings.sensors),
        humidity=None if damp is None else place_series(series, damp, settings.sensors),
        max_gap=max_gap(one, settings),
        stands=stands_there(one, settings.sensors),
    )


_NO_AIR = (PlaceKind.JAR, PlaceKind.SURFACE)


def _shed_first(settings: Settings) -> list[Place]:
    """A salt jar's air is nobody's, and a surface has none."""
    rank = {PlaceKind.SHED: 0, PlaceKind.OUTDOORS: 2}
    shown = [place for place in settings.places if place.kind not in _NO_AIR]
    return sorted(shown, key=lambda p: (rank.get(p.kind, 1), p.order))


def latest_moment(
    source: AirSource, newest: Sequence[Latest], limits: AirLimits, now: datetime
) -> AirMoment | None:
    """The air now; None where the temperature is too old to be called that, or its sensor
    stands there no more.
    """
    if not source.stands:
        return None
    by_series = {one.series.id: one for one in newest}
    temperature = by_series.get(source.temperature.leading.id)
    if temperature is None or not is_fresh(temperature.measured_at, source.max_gap, now):
        return None
    humidity = by_series.get(source.humidity.leading.id) if source.humidity else None
    if humidity is not None and not is_fresh(humidity.measured_at, source.max_gap, now):
        humidity = None
    return air_moment(
        temperature.measured_at, temperature.value, humidity.value if humidity else None, limits
    )


def tightest_source(
    sources: Sequence[AirSource],
    newest: Sequence[Latest],
    limits: Callable[[str], AirLimits],
    now: datetime,
) -> AirSource | None:
    """The sensor with least to spare, of those that are heard and have a limit.

    Where none of those is heard it is the first of them, so that its thread can be shown
    cut; only where no sensor has a limit is it one without banks.
    """
    limited = [source for source in sources if limits(source.place).any]
    heard = [
        (moment.spare_c, source)
        for source in limited
        if (moment := latest_moment(source, newest, limits(source.place), now)) is not None
        and moment.spare_c is not None
    ]
    if heard:
        return min(heard, key=lambda pair: pair[0])[1]
    return next(iter([*limited, *sources]), None)


_INSTANT = timedelta(microseconds=1)


class ShedAir:
    """Reads the air and the light of one shed from the store, as known at ``now``."""

    def __init__(
        self, store: ReadingStore, settings: Settings, newest: Sequence[Latest], now: datetime
    ) -> None:
        self._store = store
        self._settings = settings
        self._newest = newest
        self._now = now
        series = tuple(store.series())
        self.sources = air_sources(series, settings)
        self.of_shed = shed_series(series, settings)

    def tightest(self, *, night: bool | None) -> AirSource | None:
        """The sensor whose channel the wall shows."""

        def limits(place: str) -> AirLimits:
            return limits_at(self._settings.limits, place, dark=night)

        return tightest_source(self.sources, self._newest, limits, self._now)

    def light(self, since: datetime, *, width: timedelta) -> tuple[LightSpan, ...]:
        """Light and dark as measured until now; empty without a light sensor."""
        eye, gap = self.of_shed.light, self.of_shed.light_gap
        if eye is None:
            return ()
        means = eye.means(self._store, since, self._now, width=width)
        threshold_lx = self._settings.light.threshold_lx
        return light_spans(means, threshold_lx=threshold_lx, width=width, max_gap=gap)

    def channel(self, source: AirSource, since: datetime, *, width: timedelta) -> ChannelView:
        """The thread of one sensor with its banks, until now, in steps of ``width``."""
        light = self.light(since, width=width)

        by_light = {
            dark: limits_at(self._settings.limits, source.place, dark=dark)
            for dark in (True, False, None)
        }

        def limits(at: datetime) -> AirLimits:
            return by_light[dark_at(light, at)]

        found = strands(
            self._means(source.temperature, since, width),
            self._means(source.humidity, since, width),
            width=width,
            max_gap=source.max_gap,
            limits=limits,
        )
        latest = latest_moment(source, self._newest, limits(self._now), self._now)
        if latest is not None:
            found = _with_latest(found, latest, source.max_gap)
        names = {place.id: place.name for place in self._settings.places}
        return ChannelView(
            place=source.place,
            place_name=names.get(source.place, source.place),
            since=since,
            now=self._now,
            strands=found,
            light=light,
            latest=latest,
            heard_until=found[-1][-1].at if found else None,
        )

    def buckets(
        self, series: PlaceSeries | None, source: AirSource, since: datetime, width: timedelta
    ) -> Sequence[Bucket]:
        """One series of a sensor until now; empty where it has none."""
        if series is None:
            return ()
        return series.buckets(self._store, since, self._now, width=width, max_gap=source.max_gap)

    def _means(
        self, series: PlaceSeries | None, since: datetime, width: timedelta
    ) -> Sequence[Mean]:
        if series is None:
            return ()
        return series.means(self._store, since, self._now, width=width)

    def is_night(self) -> bool | None:
        """Whether it is night, as the rules see it; None where nobody can tell."""
        sheds = [place.id for place in self._settings.places if place.kind is PlaceKind.SHED]
        light = LightPath(self._settings.sensors, self._settings.light, sheds)
        light.restore(self._store, self._now)
        return light.light(self._now).is_night

    def last_night(self) -> LastNight | None:
        """The lowest temperature of the newest night that has begun; None: none is known."""
        series = self.of_shed.temperature
        if series is None:
            return None
        for night in reversed(self.nights(self._now - timedelta(hours=24))):
            until = night.until or self._now + _INSTANT
            window = series.window(self._store, night.since, until)
            readings = list(usable(window))
            if readings:
                low = min(readings, key=lambda reading: reading.value)
                return LastNight(
                    low_c=low.value, low_at=low.measured_at, going_on=night.until is None
                )
        return None

    def nights(self, since: datetime) -> tuple[Night, ...]:
        """The nights since then, told by the light sensor where there is one."""
        return known_nights(self._store, self._settings, self.of_shed, since, self._now)


def _with_latest(
    found: tuple[tuple[AirMoment, ...], ...], latest: AirMoment, gap: timedelta
) -> tuple[tuple[AirMoment, ...], ...]:
    """The newest reading itself ends the thread, not the middle of its bucket."""
    if not found or latest.at - found[-1][-1].at > gap:
        return (*found, (latest,))
    kept = tuple(moment for moment in found[-1] if moment.at < latest.at)
    return (*found[:-1], (*kept, latest))
