"""The stage of a nest on days gone by, as far as the book knows today."""

from datetime import UTC, timedelta

from hypothesis import given
from hypothesis import strategies as st

from service.nests.nest import ChickFate, EggFate
from service.nests.stage import Stage, stage
from service.nests.stage_days import StageDays, nest_as_at
from tests.service.nests.nests_in_days import DAY_0, SPECIES, chick, day, egg, look, nest

REARED = nest(
    [egg(1, 3, fate=EggFate.HATCHED, fate_from=day(21), fate_to=day(22)), egg(2, 5)],
    [chick(1, 22, fate=ChickFate.FLEDGED, fate_at=day(54))],
    [look(2, 0), look(3, 1), look(5, 2), look(12, 2), look(22, 1, 1), look(54, 1)],
)
LATER = day(60)


def stages(at: float) -> frozenset[Stage]:
    return StageDays([REARED], SPECIES, UTC, LATER).at(day(at))


def test_a_nest_goes_through_its_stages_as_the_looks_told_them() -> None:
    told = [stages(at) for at in (-1, 1, 4, 13, 23, 45, 55)]
    expected = ["empty", "paired up", "laying", "sitting", "hatching", "rearing", "leaving the box"]
    found = [[stage.value for stage in one] for one in told]
    assert found[:4] == [[word] for word in expected[:4]]
    assert found[4][0] in {"hatching", "rearing"}
    assert found[6] == ["leaving the box"]


@given(st.floats(-5, 60))
def test_nothing_that_happened_later_is_known_at_an_instant(at: float) -> None:
    then = day(at)
    known = nest_as_at(REARED, then, UTC)
    assert all(check.at <= then for check in known.checks)
    assert known.clutch is not None
    assert all(one.laid_to <= then for one in known.clutch.eggs)
    assert all(one.fate_to is None or one.fate_to <= then for one in known.clutch.eggs)
    assert all(one.hatched_to <= then for one in known.clutch.chicks)
    assert all(one.fate_at is None or one.fate_at <= then for one in known.clutch.chicks)


@given(st.lists(st.floats(-5, 60), max_size=8))
def test_stages_asked_in_any_order_are_those_of_the_nest_as_it_was_then(days: list[float]) -> None:
    reckoned = StageDays([REARED], SPECIES, UTC, LATER)
    for at in days:
        then = day(at)
        assert reckoned.at(then) == {stage(nest_as_at(REARED, then, UTC), then, SPECIES)}


def test_what_is_known_now_is_all_of_it() -> None:
    assert nest_as_at(REARED, LATER, UTC) == REARED


def test_a_run_of_days_is_counted_from_the_first_day_of_the_stage() -> None:
    reckoned = StageDays([REARED], SPECIES, UTC, LATER)
    first = day(3).date()
    laying = {Stage.LAYING}
    assert [reckoned.day_of_run(laying, first + timedelta(days=n)) for n in range(3)] == [0, 1, 2]


@given(st.integers(0, 400))
def test_a_stage_that_began_before_the_book_is_counted_evenly(later: int) -> None:
    never = StageDays([nest(pair=None)], SPECIES, UTC, LATER)
    one = (DAY_0 - timedelta(days=500) + timedelta(days=later)).date()
    empty = {Stage.EMPTY}
    following = one + timedelta(days=1)
    assert never.day_of_run(empty, following) == never.day_of_run(empty, one) + 1


def test_a_place_without_a_nest_is_in_no_stage() -> None:
    assert StageDays([], SPECIES, UTC, LATER).at(LATER) == frozenset()
