"""The list for a helper, from values."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from dashboards.views.helper_list import HelperShed, helper_list, where
from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates
from service.nests.duty import Duty, DutySlot, Visit, VisitTimes, WhereKind
from service.nests.nest import EggFate, Nest
from service.nests.workload.day_minutes import Minutes
from service.nests.workload.forecast import DayAhead
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest
from tests.service.nests.workload.duties_in_a_shed import (
    TIMES,
    TODAY,
    ZONE,
    duty,
    on_warm_days,
    places,
)

FIVE = places(5)
NAMES = {place.id: place.name for place in FIVE}
SEED = duty(1, "Seed", WhereKind.EVERY_CAGE)


def shed(
    *,
    first: date = TODAY,
    slots: Sequence[DutySlot] = (),
    duties: Sequence[Duty] = (SEED,),
    nests: Sequence[tuple[Nest, Sequence[Due]]] = (),
    times: VisitTimes = TIMES,
    days: int = 1,
) -> HelperShed:
    ahead = [
        DayAhead(day=first + timedelta(days=n), minutes=Minutes(low=9, mean=12, high=15), parts=())
        for n in range(days)
    ]
    return HelperShed(
        ahead=ahead,
        slots=slots,
        duties=duties,
        times=times,
        places=FIVE,
        nests=nests,
        zone=ZONE,
    )


def slot(place: str, visit: Visit = Visit.MORNING, of: Duty = SEED) -> DutySlot:
    return DutySlot(duty_id=of.id, place=place, day=TODAY, visit=visit)


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ([f"cage-{n}" for n in range(1, 6)], "every cage"),
        ([f"box-{n}" for n in range(1, 6)], "every box"),
        (["cage-4", "cage-1", "cage-5"], "Cage 1, 4 and 5"),
        (["cage-2"], "Cage 2"),
        (["shed"], "Shed"),
        (["cage-1", "box-2"], "Cage 1 and Box 2"),
    ],
)
def test_places_are_told_briefly_and_in_walking_order(wanted: list[str], words: str) -> None:
    assert where(wanted, FIVE, NAMES) == words


def test_every_duty_stands_once_a_visit_with_all_its_places() -> None:
    slots = [slot(f"cage-{n}") for n in range(1, 6)] + [slot("cage-2", Visit.EVENING)]
    (one,) = helper_list(shed(slots=slots)).days
    morning, evening = one.visits
    assert [(task.words, task.where) for task in morning.tasks] == [("Seed", "every cage")]
    assert [(task.words, task.where) for task in evening.tasks] == [("Seed", "Cage 2")]
    assert (morning.when, evening.when) == ("before 15:00", "from 15:00 on")


def test_three_visits_are_told_from_when_on_each_counts() -> None:
    times = VisitTimes(midday=time(11))
    (one,) = helper_list(shed(times=times)).days
    assert [visit.when for visit in one.visits] == [
        "before 11:00",
        "from 11:00 on",
        "from 15:00 on",
    ]


def test_midday_work_stands_in_the_evening_where_nobody_comes_at_midday() -> None:
    (one,) = helper_list(shed(slots=[slot("cage-1", Visit.MIDDAY)])).days
    assert [len(visit.tasks) for visit in one.visits] == [0, 1]


def test_duty_that_hangs_on_the_weather_is_told_with_its_condition() -> None:
    told = helper_list(shed(duties=(on_warm_days(),)))
    assert told.warm == (
        "soft food sooner, every cage: when it has been over 25° that day, then every 4 h",
    )


def test_duty_that_is_off_is_not_told() -> None:
    warm = on_warm_days()
    off = replace(warm, terms=replace(warm.terms, off=True))
    assert helper_list(shed(duties=(off,))).warm == ()


def _in_boxes(told: Nest, now: float, ahead: float) -> tuple[str, ...]:
    """What the list of day ``now`` says of the day ``ahead``."""
    dues = due_dates(told, SPECIES, day(now), ZONE)
    first = day(now).astimezone(ZONE).date()
    listed = helper_list(shed(first=first, nests=[(told, dues)], days=int(ahead - now) + 1))
    return listed.days[-1].boxes


def test_eggs_that_may_hatch_are_told_together() -> None:
    sitting = nest([egg(1, 1), egg(2, 3)], checks=[look(9, 2)])
    (line,) = _in_boxes(sitting, 9, 21)
    assert line.startswith("Box 1: eggs 1 and 2 may hatch")


def test_ring_of_a_chick_that_is_not_there_yet_is_told_with_an_if() -> None:
    hatching = nest(
        [egg(1, 1, fate=EggFate.HATCHED), egg(2, 3)], [chick(1, 20)], checks=[look(20, 1, 1)]
    )
    (line,) = _in_boxes(hatching, 20, 29)
    assert "ring chick 1 and chick 2 if hatched by then, if you were shown how" in line


def test_what_is_late_is_work_of_the_first_day() -> None:
    late = nest([egg(1, 1, fate=EggFate.HATCHED)], [chick(1, 20)], checks=[look(20, 0, 1)])
    dues = [one for one in due_dates(late, SPECIES, day(34), ZONE) if one.kind is DueKind.RING]
    assert dues[0].until < day(34)
    assert "ring chick 1" in _in_boxes(late, 34, 34)[0]


def test_caution_stands_once_however_often_the_duty_is_due() -> None:
    careful = replace(SEED, terms=replace(SEED.terms, caution="Mind the dust."))
    slots = [slot(f"cage-{n}") for n in range(1, 4)]
    assert helper_list(shed(slots=slots, duties=(careful,))).cautions == ("Seed: Mind the dust.",)


def test_chicks_of_other_clutches_are_told_by_where_they_came_from() -> None:
    """A chick of the round before in its own box, one of another box, and one that lives here."""
    laid_in = {1: None, 2: "box-1", 3: "box-4"}
    dues = [
        Due(
            kind=DueKind.RING,
            box="box-1",
            egg_number=number,
            egg_id=number,
            since=day(0),
            until=day(3),
            why="",
            laid_in=home,
        )
        for number, home in laid_in.items()
    ]
    eggs = [egg(n, n, fate=EggFate.HATCHED) for n in laid_in]
    own = nest(eggs, [chick(n, 20) for n in laid_in])
    first = day(0).astimezone(ZONE).date()
    (line,) = helper_list(shed(first=first, nests=[(own, dues)])).days[0].boxes
    assert line == (
        "Box 1: ring chick 1, chick 2 of the round before and chick 3 of Box 4, "
        "if you were shown how"
    )
