"""Facts of a clutch that are changed, and changed back; and what can't all be true."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.book_correction import Subject
from service.nests.contradictions import contradictions
from service.nests.correcting import (
    NotInClutchError,
    StandsInTheWayError,
    value_in,
    with_value,
)
from service.nests.facts import Value, fact_of
from service.nests.nest import Candling, Chick, ChickFate, Clutch, Egg, EggFate, Move
from tests.service.nests.nests_in_days import day, egg

NOW = day(100)


def hatched(number: int, laid: float) -> Egg:
    fate = {"fate": EggFate.HATCHED, "fate_from": day(laid + 17), "fate_to": day(laid + 18)}
    return egg(number, laid, **fate)


OUT = Move(id=1, at=day(10), from_box="box-1", to_box="box-2", why="cold", by="Ida")
CLUTCH = Clutch(
    id=3,
    box="box-1",
    pair_id=7,
    round=1,
    eggs=(
        hatched(1, 5),
        egg(2, 7, candling=Candling.FERTILE, candled_at=day(14)),
        replace(egg(3, 9), moves=(OUT,)),
    ),
    chicks=(Chick(id=4, egg_number=1, hatched_from=day(22), hatched_to=day(23)),),
    sitting_from=day(6),
)


def test_clutch_as_it_is_contradicts_nothing() -> None:
    assert contradictions(CLUTCH, NOW) == ()


DAYS = st.floats(0, 90).map(day)
FATES = st.sampled_from([fate for fate in EggFate if fate is not EggFate.HATCHED])
CHANGES = st.one_of(
    st.tuples(st.just((Subject.CLUTCH, 3, "sitting from")), st.tuples(st.none() | DAYS)),
    st.tuples(st.just((Subject.EGG, 2, "laid")), st.tuples(DAYS, DAYS)),
    st.tuples(st.just((Subject.EGG, 2, "candling")), st.tuples(st.sampled_from(Candling), DAYS)),
    st.tuples(st.just((Subject.EGG, 2, "fate")), st.tuples(FATES, DAYS, DAYS)),
    st.tuples(st.just((Subject.EGG, 2, "fate")), st.tuples(st.just(EggFate.HATCHED), DAYS, DAYS)),
    st.tuples(st.just((Subject.EGG, 2, "fate")), st.just((None, None, None))),
    st.tuples(st.just((Subject.EGG, 1, "fate")), st.tuples(st.just(EggFate.HATCHED), DAYS, DAYS)),
    st.tuples(st.just((Subject.CHICK, 4, "ring")), st.tuples(st.text(min_size=1), DAYS)),
    st.tuples(st.just((Subject.CHICK, 4, "fate")), st.tuples(st.sampled_from(ChickFate), DAYS)),
    st.tuples(st.just((Subject.MOVE, 1, "move")), st.just((None,) * 6)),
)


@given(st.lists(CHANGES, max_size=8))
def test_changes_taken_back_in_the_opposite_order_leave_the_clutch_as_it_was(
    changes: list[tuple[tuple[Subject, int, str], Value]],
) -> None:
    clutch, undo = CLUTCH, []
    for (subject, subject_id, name), value in changes:
        fact = fact_of(subject, name)
        undo.append((fact, subject_id, value_in(clutch, fact, subject_id)))
        clutch = with_value(clutch, fact, subject_id, value)
    for fact, subject_id, value in reversed(undo):
        clutch = with_value(clutch, fact, subject_id, value)
    assert clutch == CLUTCH


def corrected(subject: Subject, subject_id: int, name: str, value: Value) -> Clutch:
    return with_value(CLUTCH, fact_of(subject, name), subject_id, value)


def test_egg_that_hatched_has_a_chick_and_one_that_did_not_has_none() -> None:
    more = corrected(Subject.EGG, 2, "fate", (EggFate.HATCHED, day(24), day(25)))
    assert [one.egg_number for one in more.chicks] == [1, 2]
    less = corrected(Subject.EGG, 1, "fate", (EggFate.BROKEN, day(22), day(23)))
    assert less.chicks == ()
    assert contradictions(more, NOW) == contradictions(less, NOW) == ()


def test_last_egg_is_taken_back_and_stands_again() -> None:
    bare = replace(CLUTCH, eggs=(*CLUTCH.eggs[:2], egg(3, 9)))
    fact = fact_of(Subject.EGG, "egg")
    value = value_in(bare, fact, 3)
    without = with_value(bare, fact, 3, (None,) * len(fact.parts))
    assert [one.number for one in without.eggs] == [1, 2]
    assert value_in(without, fact, 3) == (None,) * len(fact.parts)
    assert with_value(without, fact, 3, value) == bare
    with pytest.raises(StandsInTheWayError, match="There is an egg 3 by now"):
        with_value(bare, fact, 99, value)


@pytest.mark.parametrize("subject", [Subject.EGG, Subject.CHICK, Subject.CLUTCH])
def test_subject_of_another_clutch_is_not_in_this_one(subject: Subject) -> None:
    name = {Subject.EGG: "laid", Subject.CHICK: "ring", Subject.CLUTCH: "round"}[subject]
    with pytest.raises(NotInClutchError, match=f"no {subject} 55"):
        value_in(CLUTCH, fact_of(subject, name), 55)


def first(clutch: Clutch, **more: object) -> Clutch:
    return replace(clutch, eggs=(replace(clutch.eggs[0], **more), *clutch.eggs[1:]))  # type: ignore[arg-type]


def its_chick(clutch: Clutch, **more: object) -> Clutch:
    return replace(clutch, chicks=(replace(clutch.chicks[0], **more),))  # type: ignore[arg-type]


def third_moved(clutch: Clutch, *moves: Move) -> Clutch:
    return replace(clutch, eggs=(*clutch.eggs[:2], replace(clutch.eggs[2], moves=moves)))


CONTRADICTIONS: list[tuple[Callable[[Clutch], Clutch], str]] = [
    (lambda c: replace(c, round=0), "rounds are counted from 1"),
    (lambda c: replace(c, round=10**4000), "rounds are counted from 1 to 99"),
    (lambda c: replace(c, round=None), "Which round?"),  # type: ignore[arg-type]
    (lambda c: replace(c, sitting_from=day(1)), "can't have begun to sit before the first egg"),
    (lambda c: first(c, laid_to=day(1)), "the first look with it is before the last look without"),
    (
        lambda c: first(replace(c, sitting_from=None), laid_from=day(8), laid_to=day(9)),
        "Egg 2 would have been laid before egg 1",
    ),
    (lambda c: first(c, candling=Candling.CLEAR, candled_at=day(14)), "out of a clear egg"),
    (lambda c: first(c, candled_at=day(14)), "what the light showed, and when, belong together"),
    (
        lambda c: first(c, candling=Candling.FERTILE, candled_at=day(30)),
        "was held to a light after it was hatched",
    ),
    (lambda c: first(c, fate=EggFate.ADDLED), "a chick, and an egg that hatched, belong together"),
    (lambda c: first(c, fate_from=None), "a fate, the last look before and the first after belong"),
    (lambda c: first(c, breadth_mm=0.0), "a breadth of 0 mm; allowed: 5 to 40 mm"),
    (lambda c: its_chick(c, ring="A1"), "a ring, and when it was put on, belong together"),
    (lambda c: its_chick(c, ring=" ", ringed_at=day(30)), "what is on its ring"),
    (lambda c: its_chick(c, ring="A1", ringed_at=day(20)), "can't be ringed before it hatched"),
    (lambda c: its_chick(c, fate=ChickFate.DIED), "its fate, and when, belong together"),
    (
        lambda c: its_chick(c, fate=ChickFate.DIED, fate_at=day(20)),
        "can't have its fate (died) before it hatched",
    ),
    (lambda c: third_moved(c, replace(OUT, from_box="box-9")), "it can't have gone from box-9"),
    (lambda c: third_moved(c, replace(OUT, at=day(7))), "moved before it was laid"),
    (lambda c: replace(c, hide_in_at=day(101)), "is still to come"),
]


@pytest.mark.parametrize(
    ("change", "words"), CONTRADICTIONS, ids=[words for _, words in CONTRADICTIONS]
)
def test_what_can_not_be_is_told_in_one_sentence(
    change: Callable[[Clutch], Clutch], words: str
) -> None:
    found = contradictions(change(CLUTCH), NOW)
    assert [words in one for one in found] == [True]


def test_egg_is_not_moved_after_its_story_ended() -> None:
    over = replace(CLUTCH.eggs[2], fate=EggFate.BROKEN, fate_from=day(9), fate_to=day(9.5))
    clutch = replace(CLUTCH, eggs=(*CLUTCH.eggs[:2], over))
    (words,) = contradictions(clutch, NOW)
    assert words == "Egg 3 would have been moved after its story ended."


def test_clocks_may_differ_by_minutes() -> None:
    soon = replace(CLUTCH, hide_in_at=NOW + timedelta(minutes=4))
    assert contradictions(soon, NOW) == ()


def test_chick_is_ringed_on_the_day_it_may_have_hatched() -> None:
    early = its_chick(CLUTCH, ring="A1", ringed_at=day(22.5))
    assert contradictions(early, NOW) == ()
