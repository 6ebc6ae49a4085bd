"""All that a simulated shed depends on, as values: equal scenarios give equal bytes."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from simulated_feeds.birds.pair import Bird, PairUp
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.happening import Happening
from simulated_feeds.keeper.parameters import KeeperParameters
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.senders.parameters import Sender


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the shed stands: degrees, north and east positive; ``timezone`` is an IANA name."""

    latitude: float = 53.2
    longitude: float = 6.6
    timezone: str = "Europe/Amsterdam"

    @property
    def zone(self) -> ZoneInfo:
        """Where the shed's clock on the wall is set."""
        return ZoneInfo(self.timezone)

    def local(self, day: date, at: time) -> datetime:
        """A local time as an instant [UTC]."""
        return datetime.combine(day, at, self.zone).astimezone(UTC)

    def date_of(self, at: datetime) -> date:
        """The local date of an instant."""
        return at.astimezone(self.zone).date()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What the configuration that goes with the feed calls too cold [°C] and too damp [%]."""

    cold_c: float = 5.0
    damp_pct: float = 80.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Follows:
    """An alarm or an event that must follow, ``since <= t < until`` [UTC].

    Exactly one of ``alarm`` (a rule) and ``event`` (a kind) is given. For an alarm ``t`` is
    when it is raised.
    """

    place: str
    since: datetime
    until: datetime
    alarm: str | None = None
    event: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """``start`` is the first instant, ``origin`` the present: a recording ends there [UTC].

    The shed goes on after ``origin`` as long as somebody asks. Both are whole minutes.
    ``resting`` are birds that are in no pair. ``before_the_cold``: the present is still to be
    moved to shortly before the shed is too cold.
    """

    name: str
    about: str
    seed: int
    start: datetime
    origin: datetime
    site: Site = Site()
    limits: Limits = Limits()
    weather: WeatherParameters
    building: BuildingParameters
    lamps: LampParameters
    birds: BirdParameters
    pairs: tuple[PairUp, ...]
    resting: tuple[Bird, ...] = ()
    keeper: KeeperParameters
    senders: tuple[Sender, ...]
    happenings: tuple[Happening, ...] = ()
    follows: tuple[Follows, ...] = ()
    before_the_cold: bool = False

    def __post_init__(self) -> None:
        for at in (self.start, self.origin):
            if at.tzinfo is not UTC or at.second or at.microsecond:
                raise ValueError(f"{at} is not a whole minute in UTC")
        if self.origin - self.start < timedelta(days=1):
            raise ValueError(f"{self.name}: less than a day from {self.start} to {self.origin}")

    @property
    def zone(self) -> ZoneInfo:
        """Where the shed's clock on the wall is set."""
        return self.site.zone

    @property
    def days(self) -> int:
        """Whole days from the start to the present."""
        return (self.origin - self.start) // timedelta(days=1)
