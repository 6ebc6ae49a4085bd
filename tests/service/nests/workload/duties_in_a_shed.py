"""Duties and cages for the tests of the workload: a shed of one box a cage."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from service.nests.due_dates import due_dates
from service.nests.duty import (
    ByCalendar,
    ByStage,
    Duty,
    DutyTerms,
    DutyWhere,
    EveryDays,
    OnWarmDay,
    Schedule,
    Visit,
    VisitTimes,
    Weekday,
    WhereKind,
)
from service.nests.nest import Bird, Nest, Pair, Sex
from service.nests.place import Place, PlaceKind
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage
from service.nests.workload.ground import KnownNest

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 3, 2, 6, tzinfo=UTC)  # a Monday, 07:00 in the shed
TODAY = date(2026, 3, 2)
SPECIES = SpeciesSettings()
TIMES = VisitTimes()
EVERY_DAY = ByCalendar()


def duty(
    number: int,
    name: str,
    kind: WhereKind,
    schedule: Schedule = EVERY_DAY,
    *,
    minutes: float = 1.0,
    visits: tuple[Visit, ...] = (Visit.MORNING,),
    places: tuple[str, ...] = (),
    off: bool = False,
) -> Duty:
    terms = DutyTerms(
        name=name,
        where=DutyWhere(kind=kind, places=places),
        schedule=schedule,
        since=datetime(2026, 1, 1, tzinfo=UTC),
        visits=visits,
        minutes=minutes,
        off=off,
    )
    return Duty(id=number, terms=terms)


def per_cage_duties() -> tuple[Duty, ...]:
    both = (Visit.MORNING, Visit.EVENING)
    rearing = frozenset({Stage.HATCHING, Stage.REARING, Stage.LEAVING})
    return (
        duty(1, "water", WhereKind.EVERY_CAGE, minutes=1.0),
        duty(2, "seed", WhereKind.EVERY_CAGE, minutes=1.5, visits=both),
        duty(3, "soft food", WhereKind.EVERY_CAGE, ByStage(stages=rearing), minutes=2, visits=both),
        duty(4, "box check", WhereKind.EVERY_BOX, minutes=2),
        duty(
            5,
            "trays",
            WhereKind.EVERY_CAGE,
            ByCalendar(weekdays=frozenset({Weekday.SATURDAY})),
            minutes=5,
        ),
    )


def deep_clean() -> Duty:
    schedule = EveryDays(days=28, first=date(2026, 3, 14))
    return duty(6, "deep clean", WhereKind.SHED, schedule, minutes=60)


def on_warm_days() -> Duty:
    return duty(7, "soft food sooner", WhereKind.EVERY_CAGE, OnWarmDay(over_c=25), minutes=2)


def places(cages: int) -> tuple[Place, ...]:
    found = [Place(id="shed", kind=PlaceKind.SHED, name="Shed")]
    for n in range(1, cages + 1):
        found.append(Place(id=f"cage-{n}", kind=PlaceKind.CAGE, name=f"Cage {n}", within="shed"))
        found.append(_box(n))
    return tuple(found)


def _box(n: int) -> Place:
    return Place(id=f"box-{n}", kind=PlaceKind.BOX, name=f"Box {n}", within=f"cage-{n}")


def pair_of(n: int, put_up_on: date = TODAY) -> Pair:
    cock, hen = Bird(id=2 * n, sex=Sex.COCK), Bird(id=2 * n + 1, sex=Sex.HEN)
    return Pair(id=n, cage=f"cage-{n}", cock=cock, hen=hen, put_up_on=put_up_on)


def empty_nest(n: int) -> Nest:
    return Nest(box=_box(n))


def paired_nest(n: int, put_up_on: date = TODAY) -> Nest:
    return replace(empty_nest(n), pair=pair_of(n, put_up_on))


def known(nests: Sequence[Nest], now: datetime = NOW) -> tuple[KnownNest, ...]:
    return tuple(KnownNest(nest=one, dues=due_dates(one, SPECIES, now, ZONE)) for one in nests)
