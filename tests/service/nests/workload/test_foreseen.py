"""What is foreseen holds what comes to be due once the eggs are there."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.due import DueKind
from service.nests.due_dates import due_dates
from service.nests.nest import Clutch, EggFate
from service.nests.span import Span
from service.nests.workload.foreseen import (
    Foreseen,
    first_egg_of,
    first_of,
    foreseen_in,
    foreseen_of_round,
    last_of,
)
from service.nests.workload.usual_round import UsualRound
from tests.service.nests.nests_in_days import BOX, DAY_0, PAIR, SPECIES, chick, day, egg, look, nest

USUAL = UsualRound()


def _of(foreseen: tuple[Foreseen, ...], kind: DueKind) -> list[Foreseen]:
    return [one for one in foreseen if one.kind is kind]


@given(
    first=st.floats(8, 14),
    steps=st.lists(st.floats(1.5, 2.5), min_size=5, max_size=5),
    size=st.integers(4, 6),
)
def test_round_holds_every_due_of_a_clutch_as_usual(
    first: float, steps: list[float], size: int
) -> None:
    """Eggs laid within the usual days, each seen at once."""
    laid = [first + sum(steps[:n]) for n in range(size)]
    eggs = tuple(egg(n + 1, at, candling=None) for n, at in enumerate(laid))
    sharp = tuple(
        type(one)(id=one.id, number=one.number, laid_from=one.laid_to, laid_to=one.laid_to)
        for one in eggs
    )
    checks = (look(laid[-1] + 6, size),)
    clutch = Clutch(id=3, box=BOX.id, pair_id=7, round=1, eggs=sharp)
    told = nest(sharp, checks=checks)
    assert told.clutch == clutch
    dues = due_dates(told, SPECIES, day(laid[-1] + 6))
    expected = foreseen_of_round(BOX.id, Span(since=day(8), until=day(14)), SPECIES, USUAL)
    for kind in (DueKind.HATCH, DueKind.RING, DueKind.FLEDGE, DueKind.CANDLE, DueKind.SPLIT):
        due = [one for one in dues if one.kind is kind]
        foreseen = _of(expected, kind)
        assert due
        for number, one in enumerate(due):
            assert foreseen[number].span.since <= one.since + timedelta(seconds=1)
            assert one.until <= foreseen[number].span.until + timedelta(seconds=1)


def test_eggs_that_a_clutch_may_have_come_with_their_chance() -> None:
    # Four, five or six eggs, each as likely: two of three have a fifth, one of three a sixth.
    expected = foreseen_of_round(BOX.id, Span(since=DAY_0, until=DAY_0), SPECIES, USUAL)
    chances = [one.chance for one in _of(expected, DueKind.RING)]
    of_eggs = [1, 1, 1, 1, 2 / 3, 1 / 3]
    assert chances == pytest.approx([USUAL.hatching * one for one in of_eggs])


def test_a_hen_that_lays_has_the_rest_of_her_clutch_foreseen() -> None:
    told = nest([egg(1, 10), egg(2, 12)], checks=[look(12, 2)])
    dues = due_dates(told, SPECIES, day(12))
    rings = _of(foreseen_in(told, dues, SPECIES, USUAL), DueKind.RING)
    assert len(rings) == 6
    assert [one.laid for one in rings] == [True, True, True, True, False, False]


def test_a_clutch_that_is_complete_has_no_more_eggs_foreseen() -> None:
    told = nest([egg(1, 10), egg(2, 12)], checks=[look(18, 2)])
    dues = due_dates(told, SPECIES, day(18))
    assert len(_of(foreseen_in(told, dues, SPECIES, USUAL), DueKind.RING)) == 2


def test_a_chick_that_is_there_is_ringed_for_sure_and_an_egg_perhaps() -> None:
    told = nest(
        [egg(1, 1, fate=EggFate.HATCHED), egg(2, 3)], [chick(1, 20)], checks=[look(20, 1, 1)]
    )
    dues = due_dates(told, SPECIES, day(20))
    rings = _of(foreseen_in(told, dues, SPECIES, USUAL), DueKind.RING)
    assert sorted(one.chance for one in rings) == [USUAL.hatching, 1.0]


def test_pair_just_put_up_lays_within_the_usual_days() -> None:
    span = first_egg_of(nest(), day(-0.5), USUAL)
    midnight = datetime(2026, 3, 1, tzinfo=UTC)
    assert span == Span(since=midnight + timedelta(days=8), until=midnight + timedelta(days=14))


def test_pair_that_should_have_laid_is_not_foreseen_to_lay() -> None:
    assert first_egg_of(nest(), day(14), USUAL) is None


def test_box_without_a_pair_is_not_foreseen_to_have_an_egg() -> None:
    assert first_egg_of(nest(pair=None), day(1), USUAL) is None
    assert PAIR.put_up_on == day(0).date()


def test_last_of_its_kind_may_be_that_of_a_sure_egg_at_the_earliest() -> None:
    expected = foreseen_of_round(BOX.id, Span(since=DAY_0, until=DAY_0), SPECIES, USUAL)
    hatches = _of(expected, DueKind.HATCH)
    last = last_of(expected, DueKind.HATCH)
    assert last == Span(since=hatches[3].span.since, until=hatches[5].span.until)
    first = first_of(expected, DueKind.HATCH)
    assert first == Span(since=hatches[0].span.since, until=hatches[0].span.until)


def test_nothing_foreseen_has_no_first_and_no_last() -> None:
    assert first_of((), DueKind.RING) is None
    assert last_of((), DueKind.RING) is None
