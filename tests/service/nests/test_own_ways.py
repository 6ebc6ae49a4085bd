"""A hen's last clutch narrows the usual days, never beyond them."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]

from service.nests.nest import Clutch, EggFate
from service.nests.own_ways import T_975, own_ways
from service.nests.species import DaySpan
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg

SPANS = ("next_egg_after_egg", "hatch_after_sitting")


def clutch_of(laid: list[float], hatched: list[float | None], **more: object) -> Clutch:
    """Each found by the look a day after one without it."""
    eggs = tuple(
        egg(number, at, fate=EggFate.HATCHED if out is not None else EggFate.CLEAR)
        for number, (at, out) in enumerate(zip(laid, hatched, strict=True), start=1)
    )
    chicks = tuple(chick(n, out) for n, out in enumerate(hatched, start=1) if out is not None)
    return Clutch(id=1, box="box-1", pair_id=7, round=1, eggs=eggs, chicks=chicks, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("degrees", range(2, 12))
def test_the_points_of_students_t_are_those_of_scipy(degrees: int) -> None:
    assert T_975[degrees - 2] == pytest.approx(stats.t.ppf(0.975, degrees), abs=5e-4)


def test_without_a_clutch_before_the_usual_days_hold() -> None:
    assert own_ways(SPECIES, None) == SPECIES


def test_few_eggs_narrow_nothing() -> None:
    few = clutch_of([5, 7, 9], [None, None, None])
    assert own_ways(SPECIES, few).next_egg_after_egg == SPECIES.next_egg_after_egg


def test_even_hatchings_narrow_the_span_of_the_next() -> None:
    before = clutch_of([5, 7, 9, 11, 13, 15], [24, 26, 28, 30, 32, 34], sitting_from=day(5))
    span = own_ways(SPECIES, before).hatch_after_sitting
    assert (span.least, span.most) != (17, 20)
    assert 17 <= span.least <= 19 <= span.most <= 20
    # Six of 19 days, the first known to within one day and the others to within two: Student's
    # t of 5 degrees, 2.571, times the root of their variance and of the mean twelfth of the
    # squared widths (1 and five times 4), times the root of 7/6.
    middle = (18.5 + 5 * 19) / 6
    variance = ((18.5 - middle) ** 2 + 5 * (19 - middle) ** 2) / 5
    reach = 2.571 * (variance + (1 + 5 * 4) / 6 / 12) ** 0.5 * (7 / 6) ** 0.5
    assert span.least == pytest.approx(max(17, middle - reach), abs=0.01)
    assert span.source.startswith("her last clutch: 6 hatched eggs")


def test_hatchings_outside_the_usual_days_leave_them_as_they_are() -> None:
    before = clutch_of([5, 7, 9, 11, 13], [33, 35, 37, 39, 41], sitting_from=day(5))
    assert own_ways(SPECIES, before).hatch_after_sitting == SPECIES.hatch_after_sitting


def test_a_hen_that_began_with_her_third_egg_is_not_taken_to_begin_with_the_first() -> None:
    before = clutch_of([5, 7, 9, 11], [27, 27, 27, 29], sitting_from=day(9))
    span = own_ways(SPECIES, before).eggs_before_sitting
    assert (span.least, span.most) == (2, 3)
    assert span.source == "her last clutch: she began with egg 3"


def test_a_hen_without_chicks_and_without_a_word_tells_nothing_of_her_egg() -> None:
    before = clutch_of([5, 7, 9, 11], [None] * 4)
    assert own_ways(SPECIES, before).eggs_before_sitting == SPECIES.eggs_before_sitting


@given(
    st.lists(st.floats(0.5, 4), min_size=1, max_size=8),
    st.lists(st.one_of(st.none(), st.floats(10, 26)), min_size=9, max_size=9),
)
def test_whatever_she_did_the_days_never_leave_the_settings(
    gaps: list[float], took: list[float | None]
) -> None:
    laid = [5.0]
    for gap in gaps:
        laid.append(laid[-1] + gap)
    hatched = [None if days is None else at + days for at, days in zip(laid, took, strict=False)]
    own = own_ways(SPECIES, clutch_of(laid, hatched, sitting_from=day(5)))
    for name in SPANS:
        span: DaySpan = getattr(own, name)
        usual: DaySpan = getattr(SPECIES, name)
        assert usual.least <= span.least <= span.most <= usual.most
    usual_eggs, eggs = SPECIES.eggs_before_sitting, own.eggs_before_sitting
    assert usual_eggs.least <= eggs.least <= eggs.most <= usual_eggs.most
    assert all(one < other for one, other in pairwise(laid))
