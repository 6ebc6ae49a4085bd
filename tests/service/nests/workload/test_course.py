"""The chances of stages to come."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.due_dates import due_dates
from service.nests.nest import EggFate
from service.nests.span import Span
from service.nests.stage import Stage
from service.nests.stage import stage as stage_now
from service.nests.workload.course import Begin, begins_of, course
from service.nests.workload.foreseen import foreseen_in
from service.nests.workload.usual_round import UsualRound
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest


def _begin(stage: Stage, since: float, until: float) -> Begin:
    return Begin(stage=stage, span=Span(since=day(since), until=day(until)))


@given(
    st.lists(st.tuples(st.floats(0, 60), st.floats(0, 20)), min_size=1, max_size=6),
    st.floats(-5, 100),
)
def test_chances_of_all_stages_add_up_to_one(spans: list[tuple[float, float]], at: float) -> None:
    stages = list(Stage)[1:]
    begins = [_begin(stages[n], a, a + b) for n, (a, b) in enumerate(spans)]
    shares = course(Stage.EMPTY, begins).shares(day(at))
    assert sum(shares.values()) == pytest.approx(1)
    assert all(share > 0 for share in shares.values())


def test_half_of_its_span_gone_a_stage_has_begun_with_even_chance() -> None:
    told = course(Stage.SITTING, [_begin(Stage.HATCHING, 10, 14)])
    assert told.shares(day(12)) == pytest.approx({Stage.SITTING: 0.5, Stage.HATCHING: 0.5})


def test_no_stage_comes_before_the_one_it_follows() -> None:
    told = course(Stage.LAYING, [_begin(Stage.SITTING, 8, 12), _begin(Stage.HATCHING, 5, 9)])
    assert told.to_come[1].span == Span(since=day(8), until=day(12))


def test_sitting_hen_comes_to_all_stages_that_follow_and_to_none_before() -> None:
    told = nest([egg(1, 1), egg(2, 3)], checks=[look(9, 2)])
    now = day(9)
    dues = due_dates(told, SPECIES, now)
    foreseen = foreseen_in(told, dues, SPECIES, UsualRound())
    begins = begins_of(Stage.SITTING, foreseen, first_egg=None, rest=Stage.PAIRED)
    assert [one.stage for one in begins] == [
        Stage.HATCHING,
        Stage.REARING,
        Stage.LEAVING,
        Stage.PAIRED,
    ]


@pytest.mark.parametrize("at", [20, 24, 30])
def test_course_agrees_with_the_stage_that_the_book_shows_later(at: int) -> None:
    """Chicks that hatched when they were due: what was foreseen then is so now."""
    before = nest([egg(1, 1), egg(2, 3)], checks=[look(9, 2)])
    dues = due_dates(before, SPECIES, day(9))
    foreseen = foreseen_in(before, dues, SPECIES, UsualRound())
    told = course(
        Stage.SITTING,
        begins_of(Stage.SITTING, foreseen, first_egg=None, rest=Stage.PAIRED),
    )
    out = {n for n, laid in ((1, 1), (2, 3)) if laid + 18.5 <= at}
    eggs = [
        egg(n, laid, fate=EggFate.HATCHED if n in out else None) for n, laid in ((1, 1), (2, 3))
    ]
    chicks = [chick(n, laid + 18.5) for n, laid in ((1, 1), (2, 3)) if laid + 18.5 <= at]
    later = nest(eggs, chicks, checks=[look(at, 2 - len(chicks), len(chicks))])
    assert told.shares(day(at)).get(stage_now(later, day(at), SPECIES), 0) > 0


def test_nothing_to_come_stays_as_it_is() -> None:
    told = course(Stage.EMPTY, [])
    assert told.shares(day(0) + timedelta(days=50)) == {Stage.EMPTY: 1.0}
