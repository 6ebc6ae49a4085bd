"""A simulated shed, one day after the other."""

from collections.abc import Iterator

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.building.building import Building
from simulated_feeds.day import DAY, ShedDay
from simulated_feeds.house import BOXES
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.rows import Book
from simulated_feeds.lamps.lamps import Lamps
from simulated_feeds.outdoors.weather import Weather
from simulated_feeds.scenario_files.scenario import Scenario

# The building forgets within days how it began: so long has it stood when the first day begins.
_STOOD_DAYS = 4


class Shed:
    """Weather, building and birds of one scenario, who live their days once.

    ``aviary`` knows what became of the birds up to the last day that was asked for.
    """

    def __init__(self, scenario: Scenario) -> None:
        self._scenario = scenario
        self._at = scenario.start
        self._weather = Weather(scenario.weather, scenario.seed, scenario.happenings)
        lamps = Lamps(scenario.lamps, scenario.zone, scenario.happenings)
        self._building = Building(scenario.building, lamps, scenario.happenings)
        for before in range(_STOOD_DAYS, 0, -1):
            self._building.day(self._weather.day(self._at - before * DAY), ())
        self.aviary = Aviary(
            scenario.birds,
            scenario.pairs,
            seed=scenario.seed,
            zone=scenario.zone,
            happenings=scenario.happenings,
            keeper=scenario.keeper,
            boxes=BOXES,
        )

    def days(self) -> Iterator[ShedDay]:
        """Day after day, from the scenario's start on, without end."""
        while True:
            yield self._day()

    def book(self) -> Book:
        """The keeper's book up to the present, or to the last day that was asked for."""
        scenario = self._scenario
        return book_of(
            self.aviary.looks(),
            scenario.pairs,
            self.aviary.truths(),
            seed=scenario.seed,
            birds=scenario.resting,
            until=min(self._at, scenario.origin),
            measures=scenario.keeper.measures,
        )

    def _day(self) -> ShedDay:
        """The birds plan by the light they know; what they live through is known at its end."""
        at, self._at = self._at, self._at + DAY
        air = self._building.day(self._weather.day(at), self.aviary.plan(at))
        return ShedDay(air=air, nests=self.aviary.live(air))


def days(scenario: Scenario) -> Iterator[ShedDay]:
    """All days of a scenario, without end. Equal scenarios have equal days."""
    return Shed(scenario).days()
