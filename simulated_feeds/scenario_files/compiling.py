"""A scenario file as a scenario: every part's parameters, and times as instants."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from simulated_feeds.birds.parameters import BirdParameters, usual_conditions
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.happening import Happening
from simulated_feeds.house import BOXES, places
from simulated_feeds.impossible import shown
from simulated_feeds.keeper.parameters import KeeperParameters
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.leading import LED, bounds
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.scenario_files.calendar import Calendar, calendar_of
from simulated_feeds.scenario_files.file import AtPresentTable, HappeningTable, ScenarioFile
from simulated_feeds.scenario_files.flock import flock_of
from simulated_feeds.scenario_files.happenings import faults_of
from simulated_feeds.scenario_files.parts import part
from simulated_feeds.scenario_files.scenario import Follows, Limits, Scenario, Site
from simulated_feeds.scenario_files.sender_tables import senders_of
from simulated_feeds.senders.agreement import refuse_impossible_faults
from simulated_feeds.senders.parameters import Sender


def compiled(name: str, file: ScenarioFile, now: datetime, faults: list[str]) -> Scenario | None:
    """The scenario that a file describes, with its present at ``now`` where it ends there.

    ``faults`` gets a sentence for everything that can't be; then there is no scenario.
    """
    calendar = calendar_of(file, Site(**file.site.model_dump()), now)
    senders = senders_of(file.sender, BOXES, faults)
    flock = flock_of(file, calendar, faults)
    # Grown birds give off heat and moisture, in whichever cage they are.
    building = {"birds": flock.count, **file.building}
    made: dict[str, Any] = {
        "weather": part(WeatherParameters, file.weather, "weather", faults, given=_where(file)),
        "building": part(BuildingParameters, building, "building", faults),
        "lamps": part(LampParameters, file.lamps, "lamps", faults),
        "birds": part(BirdParameters, _birds(file.birds), "birds", faults),
        "keeper": part(KeeperParameters, file.keeper, "keeper", faults),
        "happenings": tuple(_happenings(file, calendar, senders, faults)),
        "follows": tuple(_follows(file, calendar, faults)),
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
        pairs=flock.pairs,
        resting=flock.resting,
        senders=senders,
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
            if happening.what in LED:
                bounds(happening)
        except ValueError as error:
            faults.append(f"happening.{number}: {error}")
            continue
        faults.extend(f"happening.{number}: {fault}" for fault in faults_of(happening, BOXES))
        yield happening


def _follows(file: ScenarioFile, calendar: Calendar, faults: list[str]) -> Iterator[Follows]:
    known = [place.id for place in places()]
    for number, told in enumerate(file.must_follow):
        where = f"must_follow.{number}"
        follows = calendar.follows(told)
        if follows.since >= follows.until:
            faults.append(f"{where} ends before it begins: {follows.since} to {follows.until}")
        if follows.place not in known:
            allowed = ", ".join(known)
            faults.append(f"{where}.place is {shown(follows.place)}; allowed is {allowed}")
        yield follows
