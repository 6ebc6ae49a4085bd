"""Own minutes over typical ones, visit by visit."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import numpy as np
import pytest

from service.nests.duty import Duty, DutyDone, DutySlot, Visit, WhereKind
from service.nests.nest import Candling, ChickRinged, EggCandled, NestCheck
from service.nests.workload.own_pace import own_pace, pace_of, typical_minutes_of
from service.nests.workload.timed_visit import TimedVisit, timed
from service.nests.workload.typical_minutes import LOOK_MIN
from tests.service.nests.workload.duties_in_a_shed import duty

DAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 7, tzinfo=UTC)
SEED = duty(1, "seed", WhereKind.EVERY_CAGE, minutes=2)
LOOK = replace(
    duty(2, "look", WhereKind.EVERY_BOX, minutes=1.5),
    terms=replace(duty(2, "look", WhereKind.EVERY_BOX, minutes=1.5).terms, look=True),
)
DUTIES = (SEED, LOOK)


def visit(minutes: float = 30, days: int = 0) -> TimedVisit:
    began = AT + timedelta(days=days)
    return TimedVisit(
        id=days + 1,
        day=DAY + timedelta(days=days),
        visit=Visit.MORNING,
        began_at=began,
        ended_at=began + timedelta(minutes=minutes),
    )


def done(of: Duty, place: str, *, minutes: float = 5, days: int = 0, slot_day: int = 0) -> DutyDone:
    slot = DutySlot(
        duty_id=of.id, place=place, day=DAY + timedelta(days=slot_day), visit=Visit.MORNING
    )
    at = AT + timedelta(days=days, minutes=minutes)
    return DutyDone(id=1, slot=slot, words=of.name, at=at)


def look(box: str = "box-1", **more: object) -> NestCheck:
    at = AT + timedelta(minutes=10)
    return NestCheck(form_id=uuid4(), box=box, at=at, eggs=2, chicks=0, **more)  # type: ignore[arg-type]


def test_duties_of_the_visit_add_up() -> None:
    told = [done(SEED, "cage-1"), done(SEED, "cage-2")]
    assert typical_minutes_of([visit()], told, [], DUTIES) == 4


def test_duty_of_this_visit_counts_wherever_its_tap_fell() -> None:
    late = done(SEED, "cage-1", minutes=90)
    assert typical_minutes_of([visit()], [late], [], DUTIES) == 2


def test_carried_duty_counts_where_its_tap_fell() -> None:
    carried = done(SEED, "cage-1", slot_day=-1)
    elsewhere = done(SEED, "cage-1", slot_day=-1, minutes=90)
    assert typical_minutes_of([visit()], [carried], [], DUTIES) == 2
    assert typical_minutes_of([visit()], [elsewhere], [], DUTIES) == 0


def test_undone_duty_does_not_count() -> None:
    undone = replace(done(SEED, "cage-1"), undone_at=AT + timedelta(minutes=6))
    assert typical_minutes_of([visit()], [undone], [], DUTIES) == 0


def test_look_that_is_in_the_book_and_ticked_counts_once() -> None:
    told = [done(LOOK, "box-1")]
    assert typical_minutes_of([visit()], told, [look()], DUTIES) == 1.5


def test_look_that_was_ticked_alone_counts_too() -> None:
    assert typical_minutes_of([visit()], [done(LOOK, "box-2")], [look()], DUTIES) == 3


def test_candling_and_rings_take_their_minutes_beside_the_look() -> None:
    told = look(
        candled=(EggCandled(number=1, result=Candling.FERTILE),),
        ringed=(ChickRinged(egg_number=1, ring="A"), ChickRinged(egg_number=2, ring="B")),
    )
    # Candling 4, two rings of 3, the look 1.5; by hand.
    assert typical_minutes_of([visit()], [], [told], DUTIES) == 11.5


def test_look_takes_the_usual_where_no_duty_says_how_long() -> None:
    assert typical_minutes_of([visit()], [], [look()], (SEED,)) == LOOK_MIN


def test_minutes_of_a_duty_are_those_that_held_when_it_was_done() -> None:
    edited = Duty(
        id=1,
        terms=replace(SEED.terms, minutes=9, since=AT + timedelta(days=1)),
        earlier=(SEED.terms,),
    )
    assert typical_minutes_of([visit()], [done(SEED, "cage-1")], [], (edited,)) == 2


def test_pace_is_the_median_of_own_over_typical() -> None:
    minutes = [20, 24, 31, 22, 40, 28, 26, 23, 35, 21]
    visits = [visit(m, days=n) for n, m in enumerate(minutes)]
    told = [
        done(SEED, f"cage-{c}", days=n, slot_day=n) for n in range(len(minutes)) for c in range(10)
    ]
    took = timed(visits, AT + timedelta(days=30)).took
    pace = own_pace(took, visits, told, [], DUTIES)
    assert pace.middle is not None
    assert pace.middle.value == pytest.approx(float(np.median(minutes)) / 20)
    assert (pace.visits, pace.unnoted, pace.known) == (10, 0, True)


def test_visit_in_which_nothing_was_noted_tells_no_pace() -> None:
    visits = [visit(30)]
    pace = own_pace(timed(visits, AT + timedelta(days=1)).took, visits, [], [], DUTIES)
    assert (pace.visits, pace.unnoted, pace.known) == (0, 1, False)


@pytest.mark.parametrize(("visits", "known"), [(0, False), (5, False), (8, False), (9, True)])
def test_nine_visits_are_enough(visits: int, known: bool) -> None:
    assert pace_of([1.0] * visits).known is known
