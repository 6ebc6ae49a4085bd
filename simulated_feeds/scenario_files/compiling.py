"""A scenario file as a scenario: every part's parameters, and times as instants."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from simulated_feeds.birds.pair import Bird, PairUp, birds_for, pairs_for
from simulated_feeds.birds.parameters import BirdParameters, usual_conditions
from simulated_feeds.birds.present import present_birds, present_pairs
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.happening import Happening
from simulated_feeds.house import BOXES
from simulated_feeds.keeper.parameters import KeeperParameters
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.scenario_files.calendar import Calendar, calendar_of
from simulated_feeds.scenario_files.file import AtPresentTable, HappeningTable, ScenarioFile
from simulated_feeds.scenario_files.happenings import faults_of
from simulated_feeds.scenario_files.parts import part
from simulated_feeds.scenario_files.scenario import Limits, Scenario, Site
from simulated_feeds.scenario_files.sender_tables import senders_of
from simulated_feeds.senders.agreement import refuse_impossible_faults
from simulated_feeds.senders.parameters import Sender


def compiled(name: str, file: ScenarioFile, now: datetime, faults: list[str]) -> Scenario | None:
    """The scenario that a file describes, with its present at ``now`` where it ends there.

    ``faults`` gets a sentence for everything that can't be; then there is no scenario.
    """
    calendar = calendar_of(file, Site(**file.site.model_dump()), now)
    senders = senders_of(file.sender, BOXES, faults)
    made: dict[str, Any] = {
        "weather": part(WeatherParameters, file.weather, "weather", faults, given=_where(file)),
        "building": part(BuildingParameters, file.building, "building", faults),
        "lamps": part(LampParameters, file.lamps, "lamps", faults),
        "birds": part(BirdParameters, _birds(file.birds), "birds", faults),
        "keeper": part(KeeperParameters, file.keeper, "keeper", faults),
        "happenings": tuple(_happenings(file, calendar, senders, faults)),
    }
    if faults:
        return None
    return Scenario(
        name=name,
        about=file.about,
        seed=file.seed,
        start=calendar.start,
        origin=calendar.origin,
        site=calendar.site,
        limits=Limits(**file.limits.model_dump()),
        pairs=(pairs := _pairs(file, calendar)),
        resting=_resting(file, calendar, pairs),
        senders=senders,
        follows=tuple(calendar.follows(told) for told in file.must_follow),
        before_the_cold=file.present == "before the cold",
        **made,
    )


def _where(file: ScenarioFile) -> dict[str, float]:
    return {"latitude": file.site.latitude, "longitude": file.site.longitude}


def _birds(table: dict[str, Any]) -> dict[str, Any]:
    """What a file says of some conditions' references leaves the others as they are."""
    told = table.get("references")
    if not isinstance(told, dict):
        return table
    return {**table, "references": {**usual_conditions(), **told}}


def _happenings(
    file: ScenarioFile, calendar: Calendar, senders: tuple[Sender, ...], faults: list[str]
) -> Iterator[Happening]:
    tables: tuple[HappeningTable | AtPresentTable, ...] = (*file.happening, *file.at_present)
    for number, told in enumerate(tables):
        try:
            happening = calendar.happening(told)
            refuse_impossible_faults(senders, [happening])
        except ValueError as error:
            faults.append(f"happening.{number}: {error}")
            continue
        faults.extend(f"happening.{number}: {fault}" for fault in faults_of(happening, BOXES))
        yield happening


def _resting(file: ScenarioFile, calendar: Calendar, pairs: tuple[PairUp, ...]) -> tuple[Bird, ...]:
    if file.pairs:
        return ()
    paired = {bird.id for pair in pairs for bird in (pair.cock, pair.hen)}
    birds = present_birds(calendar.origin, calendar.site.zone)
    return tuple(bird for bird in birds if bird.id not in paired)


def _pairs(file: ScenarioFile, calendar: Calendar) -> tuple[PairUp, ...]:
    """Those that are put up by the tables; without any the nests that are told of."""
    if not file.pairs:
        return present_pairs(calendar.origin, calendar.site.zone, seed=file.seed)
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
