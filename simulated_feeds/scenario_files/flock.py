"""Which birds a scenario has, and which of them are put up where and when."""

from dataclasses import dataclass
from datetime import timedelta

from simulated_feeds.birds.pair import Bird, PairUp, birds_for, pairs_for, refuse_impossible_pairs
from simulated_feeds.birds.present import present_birds, present_pairs
from simulated_feeds.house import BOXES
from simulated_feeds.scenario_files.calendar import Calendar
from simulated_feeds.scenario_files.file import ScenarioFile

# What happened before the first day is lived through too, in air as it usually is.
_LONGEST_BEFORE = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Flock:
    """Pairs, and the birds that are in none."""

    pairs: tuple[PairUp, ...]
    resting: tuple[Bird, ...] = ()

    @property
    def count(self) -> int:
        """How many grown birds there are."""
        paired = {bird.id for pair in self.pairs for bird in (pair.cock, pair.hen)}
        return len(paired) + len(self.resting)


def flock_of(file: ScenarioFile, calendar: Calendar, faults: list[str]) -> Flock:
    """Those that the tables put up; without any the nests that are told of.

    ``faults`` gets a sentence for every fault.
    """
    if not file.pairs:
        return _as_told(file, calendar)
    before = len(faults)
    _refuse_days(file, calendar, faults)
    if len(faults) > before:
        return Flock(())
    try:
        pairs = _put_up(file)
        refuse_impossible_pairs(pairs)
    except ValueError as error:
        faults.append(f"pairs: {error}")
        return Flock(())
    return Flock(pairs)


def _as_told(file: ScenarioFile, calendar: Calendar) -> Flock:
    zone = calendar.site.zone
    pairs = present_pairs(calendar.origin, zone, seed=file.seed)
    paired = {bird.id for pair in pairs for bird in (pair.cock, pair.hen)}
    birds = present_birds(calendar.origin, zone)
    return Flock(pairs, tuple(bird for bird in birds if bird.id not in paired))


def _refuse_days(file: ScenarioFile, calendar: Calendar, faults: list[str]) -> None:
    least = calendar.site.date_of(calendar.start - _LONGEST_BEFORE)
    most = calendar.site.date_of(calendar.origin)
    faults.extend(
        f"pairs.{number}.put_up_on is {told.put_up_on}; allowed is {least} to {most}"
        for number, told in enumerate(file.pairs)
        if not least <= told.put_up_on <= most
    )


def _put_up(file: ScenarioFile) -> tuple[PairUp, ...]:
    # The same birds every season.
    birds = birds_for(2 * len(BOXES), min(told.put_up_on for told in file.pairs).year)
    return tuple(
        pair
        for told in file.pairs
        for pair in pairs_for(
            BOXES,
            told.put_up_on,
            seed=file.seed,
            ended_on=told.ended_on,
            birds=birds,
            spread_days=told.spread_days,
            rounds=told.rounds,
        )
    )
