"""What the page of the air is made from, read from the stores."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum

from dashboards.figures.air_figure import AirSeries, Json, air_figure
from dashboards.marks.palette import Palette
from dashboards.page_services import PageServices
from dashboards.shed_air import AirSource, ShedAir
from dashboards.views.air_days import STEP, DayWidth, day_widths
from dashboards.views.air_now import now_words
from dashboards.views.banks import AirLimits, limits_at
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import local_day, start_of_day
from dashboards.views.season_view import season_name
from dashboards.views.tonight_words import ahead_of, not_said_sentence, tonight_sentences
from service.answers.light import light_of_days
from service.answers.nights import night_summaries
from service.answers.outlook import knows_night, newest_outlook
from service.answers.place_series import PlaceSeries
from service.answers.tonight_so_far import tonight_so_far
from service.climate.light_day import LightDay
from service.climate.light_timer import LampClock, lamp_clock
from service.climate.night_summary import NightSummary
from service.nests.place import PlaceKind
from service.nests.season import Season
from service.store.reading_store import Bucket, Latest, Mean

NIGHTS = 30
LATELY = timedelta(hours=30)
_QUARTER = timedelta(minutes=15)
_TEN_MINUTES = timedelta(minutes=10)
_TWO_HOURS = timedelta(hours=2)
_DAY = timedelta(days=1)


class Stretch(StrEnum):
    """How long a time the last picture shows."""

    WEEK = "week"
    SEASON = "season"
    YEAR = "year"


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysOfAir:
    """The days of a season or a year; ``season`` is its name, empty for a year."""

    days: tuple[DayWidth, ...]
    first: date
    last: date
    season: str = ""


class AirFacts:
    """Reads for one page, as known at ``now``."""

    def __init__(self, services: PageServices, now: datetime) -> None:
        """Raises StoreUnavailableError: a store can't be read now."""
        self.now = now
        self._services = services
        self._settings = services.settings
        self._zone = services.settings.site.timezone
        self._newest = tuple(services.readings.latest())
        self._air = ShedAir(services.readings, services.settings, self._newest, now)
        self.source = self._of_kind(PlaceKind.SHED)
        self.outdoors_source = self._of_kind(PlaceKind.OUTDOORS)

    @property
    def today(self) -> date:
        """The date in the shed."""
        return local_day(self.now, self._zone)

    @property
    def has_light_sensor(self) -> bool:
        """Whether anything has ever told of the light in the shed."""
        return self._air.of_shed.light is not None

    def limits(self, *, dark: bool | None) -> AirLimits:
        """Those of the shed."""
        if self.source is None:
            return AirLimits()
        return limits_at(self._settings.limits, self.source.place, dark=dark)

    def _of_kind(self, kind: PlaceKind) -> AirSource | None:
        here = {place.id for place in self._settings.places if place.kind is kind}
        return next((source for source in self._air.sources if source.place in here), None)

    def tonight(self) -> tuple[str, ...]:
        """What is expected of the night that has not ended, or why nothing can be said."""
        store, now = self._services.outlook, self.now
        said = tonight_so_far(store, self._services.readings, self._settings, now)
        if said is None:
            night_known = knows_night(self._settings, now)
            return (not_said_sentence(newest_outlook(store, now), night_known=night_known),)
        return tonight_sentences(said, self._settings.limits, now, self._zone)

    def lately(self) -> ChannelView | None:
        """The channel of the last day and a bit, and what is expected ahead."""
        view = self._channel(self.source, self.now - LATELY, _QUARTER)
        services = self._services
        said = tonight_so_far(services.outlook, services.readings, self._settings, self.now)
        if view is None or said is None or said.place != view.place:
            return view
        now_c = view.latest.temperature_c if view.latest else None
        return replace(view, ahead=ahead_of(said, self._settings.limits, self.now, now_c))

    def week(self) -> ChannelView | None:
        """The channel of seven days, from a midnight on."""
        since = start_of_day(self.today - timedelta(days=6), self._zone)
        return self._channel(self.source, since, _QUARTER)

    def outdoors(self, since: datetime) -> ChannelView | None:
        """The air outdoors since then; None where no thermometer stands there."""
        return self._channel(self.outdoors_source, since, _QUARTER)

    def _channel(
        self, source: AirSource | None, since: datetime, width: timedelta
    ) -> ChannelView | None:
        return None if source is None else self._air.channel(source, since, width=width)

    def now_in_words(self, lately: ChannelView | None) -> str:
        """The air of now with its age, or since when nobody knows."""
        warmth = self._latest(self.source.temperature) if self.source else None
        damp = self._latest(self.source.humidity) if self.source else None
        latest, damp_pct = lately.latest if lately else None, None
        if latest and damp and self.source:
            together = abs(damp.measured_at - latest.at) <= self.source.max_gap
            damp_pct = damp.value if together else None
        heard_at = warmth.measured_at if warmth else None
        return now_words(lately, damp_pct, heard_at, self.now, self._zone)

    def _latest(self, series: PlaceSeries | None) -> Latest | None:
        """The newest reading of a sensor that tells, or told last, there."""
        if series is None:
            return None
        return next((one for one in self._newest if one.series.id == series.leading.id), None)

    def nights(self) -> list[NightSummary]:
        """The last thirty, oldest first, the one that goes on included."""
        since = start_of_day(self.today - NIGHTS * _DAY, self._zone) + _DAY / 2
        readings, settings = self._services.readings, self._settings
        return night_summaries(readings, settings, since, self.now, self.now)[-NIGHTS:]

    def light(self) -> tuple[LightDay, ...]:
        """The last thirty days; empty without a light sensor."""
        if not self.has_light_sensor:
            return ()
        first = self.today - (NIGHTS - 1) * _DAY
        readings, settings = self._services.readings, self._settings
        return light_of_days(readings, settings, first, self.today, self.now)

    def lamp_clock(self, days: Sequence[LightDay]) -> LampClock | None:
        """What those days tell of the lamps' clock."""
        eye = self._air.of_shed.light
        if eye is None:
            return None
        intervals = [
            sensor.interval
            for sensor in self._settings.sensors
            if sensor.device == eye.leading.device
        ]
        return lamp_clock(days, interval=intervals[0] if intervals else _QUARTER)

    def days(self, stretch: Stretch) -> DaysOfAir:
        """The days of the running season, or of the last where none runs; else of a year."""
        season = self._season() if stretch is Stretch.SEASON else None
        first, last = self._bounds(season)
        return DaysOfAir(
            days=day_widths(*self._half_hours(first, last), self._zone, self.now),
            first=first,
            last=last,
            season=season_name(season) if season else "",
        )

    def _season(self) -> Season | None:
        """The newest that has begun."""
        begun = [one for one in self._services.seasons.seasons() if one.began_on <= self.today]
        return begun[-1] if begun else None

    def _bounds(self, season: Season | None) -> tuple[date, date]:
        if season is None:
            return self.today - timedelta(days=364), self.today
        return season.began_on, min(season.closed_on or self.today, self.today)

    def _half_hours(self, first: date, last: date) -> tuple[Sequence[Mean], Sequence[Mean]]:
        if self.source is None:
            return (), ()
        return (
            self._means(self.source.temperature, first, last),
            self._means(self.source.humidity, first, last),
        )

    def _means(self, series: PlaceSeries | None, first: date, last: date) -> Sequence[Mean]:
        if series is None:
            return ()
        since = start_of_day(first, self._zone)
        until = min(start_of_day(last + _DAY, self._zone), self.now)
        return series.means(self._services.readings, since, until, width=STEP)

    def figure(self, stretch: Stretch, palette: Palette) -> dict[str, Json] | None:
        """The stretch to look closer; None without a thermometer. Ten minutes a point in a
        week, two hours in longer times.
        """
        source = self.source
        if source is None:
            return None
        since, width = start_of_day(self.today - timedelta(days=6), self._zone), _TEN_MINUTES
        if stretch is not Stretch.WEEK:
            since, width = (
                start_of_day(
                    self._bounds(self._season() if stretch is Stretch.SEASON else None)[0],
                    self._zone,
                ),
                _TWO_HOURS,
            )
        gap = max(source.max_gap, width)
        names = {place.id: place.name for place in self._settings.places}
        return air_figure(
            AirSeries(
                temperature=self._points(source.temperature, since, width),
                humidity=self._points(source.humidity, since, width),
                width=width,
                max_gap=gap,
                ranges=False,
            ),
            self._air.light(since, width=width) if stretch is Stretch.WEEK else (),
            [one for one in self._settings.limits if one.place == source.place],
            place_name=names.get(source.place, source.place),
            zone=self._zone,
            palette=palette,
        )

    def _points(
        self, series: PlaceSeries | None, since: datetime, width: timedelta
    ) -> list[Bucket]:
        if series is None:
            return []
        return [
            Bucket(
                start=one.start,
                minimum=one.mean,
                mean=one.mean,
                maximum=one.mean,
                count=1,
                coverage=1,
            )
            for one in series.means(self._services.readings, since, self.now, width=width)
        ]

    def unheard(self) -> tuple[str, ...]:
        """What the page can't tell for want of a sensor, and what would."""
        told = []
        if self.source is None:
            told.append(
                "No thermometer stands in the shed, so nothing is told of its nights. "
                "Air in boxes and cages is under Nests."
            )
        elif self.source.humidity is None:
            told.append("The shed's sensor tells no humidity, so nothing is told of damp.")
        if not self.has_light_sensor:
            told.append(
                "No light sensor stands in the shed, so its light is not known, and nights go by "
                "the lamps' programme or the sun."
            )
        if self.outdoors_source is None:
            told.append("No thermometer stands outdoors, so the weather is not drawn.")
        return tuple(told)
