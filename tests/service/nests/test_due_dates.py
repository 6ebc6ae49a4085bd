"""What is to come in a nest, and what moves it."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates, next_due
from service.nests.nest import Candling, ChickFate, Egg, EggFate, HenSeen, Nest
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest

GROWING_UP = (DueKind.RING, DueKind.FLEDGE, DueKind.INDEPENDENT, DueKind.SPLIT)
Spans = dict[tuple[DueKind, int | None], tuple[float, float]]


def spans(of: Nest, now: float) -> Spans:
    """Spans in days, by kind and egg."""
    one = timedelta(days=1)
    return {
        (due.kind, due.egg_number): ((due.since - day(0)) / one, (due.until - day(0)) / one)
        for due in due_dates(of, SPECIES, day(now))
    }


def why(of: Nest, now: float, kind: DueKind, number: int | None = None) -> str:
    dues = due_dates(of, SPECIES, day(now))
    (reason,) = [due.why for due in dues if (due.kind, due.egg_number) == (kind, number)]
    return reason


def test_empty_box_has_nothing_to_come() -> None:
    assert due_dates(nest(), SPECIES, day(3)) == ()


def test_egg_laid_under_a_sitting_hen_hatches_by_its_own_laying() -> None:
    laying = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(9, 3)], sitting_from=day(7))
    # Laid between day 8 and 9; 17 to 20 days.
    assert spans(laying, 9)[(DueKind.HATCH, 3)] == (25, 29)


def test_egg_laid_before_she_sat_waits_for_her() -> None:
    laying = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(9, 3)], sitting_from=day(7))
    assert spans(laying, 9)[(DueKind.HATCH, 1)] == (24, 27)


def test_published_incubation_of_18_days_lies_within_the_span() -> None:
    # 18 days from the beginning of incubation to the hatch: Indian Agricultural Statistics
    # Research Institute, extension e-course on pet birds, "budgerigar".
    laying = nest([egg(1, 5)], checks=[look(5, 1)], sitting_from=day(5))
    since, until = spans(laying, 5)[(DueKind.HATCH, 1)]
    assert since <= 5 + 18 <= until


def test_published_age_for_a_closed_ring_lies_within_the_span() -> None:
    # 9 to 10 days: the same e-course.
    rearing = nest(
        [egg(1, 5, fate=EggFate.HATCHED)],
        [replace(chick(1, 25), hatched_from=day(25))],
        [look(25, 0, 1)],
    )
    since, until = spans(rearing, 25)[(DueKind.RING, 1)]
    assert since <= 25 + 9 <= 25 + 10 <= until


def test_sitting_is_taken_to_begin_with_one_of_the_first_three_eggs() -> None:
    laying = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(9, 3)])
    assert spans(laying, 9)[(DueKind.HATCH, 1)] == (21, 29)
    assert why(laying, 9, DueKind.HATCH, 1) == (
        "sitting from egg 1 to 3, laid 5 to 10 March; hatches after 17 to 20 days"
    )


def test_sitting_that_was_seen_counts_from_that_look() -> None:
    checks = [look(5, 1, hen=HenSeen.OFF), look(6, 1, hen=HenSeen.SITTING), look(7, 2)]
    laying = nest([egg(1, 5), egg(2, 7)], checks=checks)
    assert spans(laying, 7)[(DueKind.HATCH, 1)] == (22, 26)
    assert why(laying, 7, DueKind.HATCH, 1).startswith("seen sitting on 7 March; ")


def test_a_look_that_did_not_see_the_hen_does_not_say_that_she_did_not_sit() -> None:
    checks = [look(5, 1), look(6, 1, hen=HenSeen.SITTING)]
    assert spans(nest([egg(1, 5)], checks=checks), 7)[(DueKind.HATCH, 1)] == (21, 26)


def test_sitting_seen_later_than_is_usual_goes_before_what_is_usual() -> None:
    eggs = [egg(1, 5), egg(2, 7), egg(3, 9), egg(4, 11)]
    checks = [look(11, 4, hen=HenSeen.OFF), look(12, 4, hen=HenSeen.SITTING)]
    assert spans(nest(eggs, checks=checks), 12)[(DueKind.HATCH, 1)] == (28, 32)


def test_single_egg_is_reckoned_with_those_that_are_to_come() -> None:
    laying = nest([egg(1, 5)], checks=[look(5, 1)])
    # Egg 3 is expected until day 5 + 2 x 2.5.
    assert spans(laying, 5)[(DueKind.HATCH, 1)] == (21, 30)


def test_a_chick_tells_when_its_hen_began_to_sit() -> None:
    eggs = [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7), egg(3, 9)]
    hatching = nest(eggs, [chick(1, 26)], [look(26, 2, 1)])
    # Hatched between day 25 and 26: she began between day 25 - 20 and 26 - 17. Egg 2 was laid
    # between day 6 and 7, so it was sat on between day 6 and day 9.
    assert spans(hatching, 26)[(DueKind.HATCH, 2)] == (23, 29)
    late = nest(eggs, [chick(1, 24)], [look(24, 2, 1)])
    assert spans(late, 24)[(DueKind.HATCH, 2)] == (23, 27)
    assert why(late, 24, DueKind.HATCH, 2) == (
        "sitting from egg 1 to 3, laid 5 to 10 March; chick 1, hatched 24 to 25 March, tells it "
        "closer; hatches after 17 to 20 days"
    )


def test_a_chick_that_came_outside_the_usual_days_tells_nothing() -> None:
    eggs = [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7), egg(3, 9)]
    hatching = nest(eggs, [chick(1, 33)], [look(33, 2, 1)])
    assert spans(hatching, 33)[(DueKind.HATCH, 2)] == (23, 29)


def test_single_egg_after_which_laying_stopped_is_sat_on_alone() -> None:
    laying = nest([egg(1, 5)], checks=[look(10, 1)])
    assert spans(laying, 10)[(DueKind.HATCH, 1)] == (21, 25)


def test_next_egg_follows_the_last_by_its_interval() -> None:
    laying = nest([egg(1, 5), egg(2, 7)], checks=[look(7, 2)])
    assert spans(laying, 7)[(DueKind.NEXT_EGG, 3)] == (7.5, 9.5)


def test_next_egg_stays_expected_while_nobody_looks() -> None:
    laying = nest([egg(1, 5), egg(2, 7)], checks=[look(7, 2)])
    assert (DueKind.NEXT_EGG, 3) in spans(laying, 30)


def test_next_egg_is_no_longer_expected_when_a_look_showed_a_long_pause() -> None:
    eggs = [egg(1, 5), egg(2, 7)]
    assert (DueKind.NEXT_EGG, 3) in spans(nest(eggs, checks=[look(11.9, 2)]), 12)
    assert (DueKind.NEXT_EGG, 3) not in spans(nest(eggs, checks=[look(12, 2)]), 12)


def test_next_egg_is_no_longer_expected_when_there_is_a_chick() -> None:
    hatching = nest([egg(1, 5, fate=EggFate.HATCHED), egg(2, 24)], [chick(1, 25)], [look(25, 1, 1)])
    assert (DueKind.NEXT_EGG, 3) not in spans(hatching, 25)


SITTING = nest(
    [egg(1, 5), egg(2, 7), egg(3, 9), egg(4, 11)], checks=[look(11, 4)], sitting_from=day(7)
)


def test_candling_is_one_thing_for_the_box() -> None:
    assert spans(SITTING, 11)[(DueKind.CANDLE, None)] == (13, 16)


def with_egg(of: Nest, number: int, **facts: object) -> Nest:
    assert of.clutch is not None
    eggs = tuple(
        replace(one, **facts) if one.number == number else one  # type: ignore[arg-type]
        for one in of.clutch.eggs
    )
    return replace(of, clutch=replace(of.clutch, eggs=eggs))


def test_candling_turns_to_the_eggs_that_are_left() -> None:
    done = with_egg(with_egg(SITTING, 1, candling=Candling.FERTILE), 2, candling=Candling.CLEAR)
    assert spans(done, 14)[(DueKind.CANDLE, None)] == (14, 18)


def test_candling_is_not_asked_for_once_the_egg_may_hatch() -> None:
    assert (DueKind.CANDLE, None) in spans(SITTING, 26)
    assert (DueKind.CANDLE, None) not in spans(SITTING, 28)


def test_clear_egg_has_nothing_to_come() -> None:
    clear = with_egg(SITTING, 4, candling=Candling.CLEAR)
    assert not [number for _, number in spans(clear, 14) if number == 4]


def test_late_hatch_stays_listed_until_the_egg_has_its_fate() -> None:
    assert spans(SITTING, 60)[(DueKind.HATCH, 4)] == (27, 31)
    lost = with_egg(SITTING, 4, fate=EggFate.ADDLED)
    assert (DueKind.HATCH, 4) not in spans(lost, 60)


def test_nothing_is_promised_for_a_chick_whose_egg_is_late() -> None:
    assert (DueKind.RING, 4) in spans(SITTING, 31)
    assert (DueKind.RING, 4) not in spans(SITTING, 31.1)


REARING = nest(
    [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7, fate=EggFate.HATCHED)],
    [chick(1, 25), chick(2, 27)],
    [look(27, 0, 2)],
)


def test_chick_has_ring_outing_and_independence_to_come() -> None:
    # Hatched between day 24 and 25.
    told = spans(REARING, 27)
    assert told[(DueKind.RING, 1)] == (31, 35)
    assert told[(DueKind.FLEDGE, 1)] == (52, 60)
    assert told[(DueKind.INDEPENDENT, 1)] == (66, 81)


def test_hide_goes_in_two_to_seven_days_before_the_first_is_expected_out() -> None:
    # Floor hides go in two to seven days before the first youngster is expected out:
    # common practice, no source.
    first_out = spans(REARING, 27)[(DueKind.FLEDGE, 1)][0]
    assert spans(REARING, 27)[(DueKind.HIDE_IN, None)] == (first_out - 7, first_out - 2)


def test_hide_that_is_in_is_not_asked_for() -> None:
    assert REARING.clutch is not None
    done = replace(REARING, clutch=replace(REARING.clutch, hide_in_at=day(46)))
    assert (DueKind.HIDE_IN, None) not in spans(done, 47)


def with_chick(of: Nest, number: int, **facts: object) -> Nest:
    assert of.clutch is not None
    chicks = tuple(
        replace(one, **facts) if one.egg_number == number else one  # type: ignore[arg-type]
        for one in of.clutch.chicks
    )
    return replace(of, clutch=replace(of.clutch, chicks=chicks))


def test_ring_that_is_on_is_done() -> None:
    ringed = spans(with_chick(REARING, 1, ring="A1"), 34)
    assert (DueKind.RING, 1) not in ringed
    assert (DueKind.RING, 2) in ringed


def test_fledged_chick_has_independence_and_parting_to_come() -> None:
    told = spans(with_chick(REARING, 1, fate=ChickFate.FLEDGED), 55)
    assert [kind for kind, number in told if number == 1] == [DueKind.INDEPENDENT, DueKind.SPLIT]
    assert (DueKind.HIDE_IN, None) not in told


def test_dead_chick_has_nothing_to_come() -> None:
    told = spans(with_chick(REARING, 1, fate=ChickFate.DIED), 30)
    assert not [kind for kind, number in told if number == 1]


def test_reason_names_days_of_the_shed() -> None:
    laying = nest([egg(1, 5), egg(2, 6.5)], checks=[look(7, 2)], sitting_from=day(6.5))
    shed = due_dates(laying, SPECIES, day(7), ZoneInfo("Europe/Amsterdam"))
    # Midnight at the end of 7 March, UTC, is one o'clock on the 8th there.
    assert next(due.why for due in shed if due.kind is DueKind.HATCH).startswith(
        "sitting from 8 March, as you said"
    )


def test_clutch_is_complete_after_a_pause_unless_another_egg_comes() -> None:
    # Three to five days without an egg: common practice, no source.
    laying = nest([egg(1, 5), egg(2, 7)], checks=[look(7, 2)])
    assert spans(laying, 7)[(DueKind.CLUTCH_COMPLETE, None)] == (9, 12)
    later = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(9, 3)])
    assert spans(later, 9)[(DueKind.CLUTCH_COMPLETE, None)] == (11, 14)
    over = nest([egg(1, 5), egg(2, 7)], checks=[look(12, 2)])
    assert (DueKind.CLUTCH_COMPLETE, None) not in spans(over, 12)


def test_the_young_are_put_apart_after_they_feed_themselves() -> None:
    # Six weeks and more: common practice, no source.
    assert spans(REARING, 27)[(DueKind.SPLIT, 1)] == (66, 85)


def test_weaned_chick_is_still_to_be_put_apart_until_its_days_are_over() -> None:
    weaned = with_chick(REARING, 1, fate=ChickFate.WEANED, fate_at=day(70))
    assert [kind for kind, number in spans(weaned, 71) if number == 1] == [DueKind.SPLIT]
    assert not [kind for kind, number in spans(weaned, 85.1) if number == 1]


def test_box_comes_off_after_the_last_is_out() -> None:
    # Chick 2 hatched between day 26 and 27, is out after 28 to 35 days; the box comes off
    # within the week after: common practice, no source.
    assert spans(REARING, 27)[(DueKind.BOX_OFF, None)] == (26 + 28 + 1, 27 + 35 + 7)


def test_box_off_is_reckoned_from_the_day_the_last_left() -> None:
    out = with_chick(REARING, 1, fate=ChickFate.FLEDGED, fate_at=day(55))
    out = with_chick(out, 2, fate=ChickFate.FLEDGED, fate_at=day(58))
    assert spans(out, 58)[(DueKind.BOX_OFF, None)] == (59, 65)


def test_box_off_is_never_late_since_another_round_may_be_wanted() -> None:
    out = with_chick(REARING, 1, fate=ChickFate.FLEDGED, fate_at=day(55))
    out = with_chick(out, 2, fate=ChickFate.FLEDGED, fate_at=day(58))
    assert (DueKind.BOX_OFF, None) not in spans(out, 65.1)


def test_a_box_that_is_off_needs_neither_hide_nor_eggs() -> None:
    off = replace(REARING, off_since=day(27))
    box = {DueKind.HIDE_IN, DueKind.BOX_OFF, DueKind.NEXT_EGG, DueKind.CLUTCH_COMPLETE}
    assert not box & {kind for kind, _ in spans(off, 27)}
    assert (DueKind.RING, 1) in spans(off, 27)


def test_an_egg_that_lies_on_after_its_time_keeps_the_box_on() -> None:
    out = with_chick(REARING, 1, fate=ChickFate.FLEDGED, fate_at=day(55))
    out = with_chick(out, 2, fate=ChickFate.FLEDGED, fate_at=day(58))
    assert out.clutch is not None
    third = replace(out, clutch=replace(out.clutch, eggs=(*out.clutch.eggs, egg(3, 9))))
    assert (DueKind.BOX_OFF, None) not in spans(third, 60)


def test_young_of_the_round_before_stay_listed_until_they_are_apart() -> None:
    first = with_chick(REARING, 1, fate=ChickFate.FLEDGED, fate_at=day(55))
    assert first.clutch is not None
    again = replace(nest([egg(11, 60)], checks=[look(60, 1)]), before=first.clutch)
    told = spans(again, 61)
    assert (DueKind.INDEPENDENT, 1) in told
    assert (DueKind.SPLIT, 1) in told
    assert (DueKind.SPLIT, 1) not in spans(again, 85.1)


def test_nothing_is_due_while_the_shed_rests_and_nothing_lives() -> None:
    out = with_chick(REARING, 1, fate=ChickFate.WEANED, fate_at=day(55))
    out = with_chick(out, 2, fate=ChickFate.WEANED, fate_at=day(58))
    assert due_dates(replace(out, resting=True), SPECIES, day(59)) == ()
    assert due_dates(replace(REARING, resting=True), SPECIES, day(27)) != ()


def test_youngsters_that_are_not_on_their_own_keep_a_resting_shed_awake() -> None:
    out = with_chick(REARING, 1, fate=ChickFate.FLEDGED, fate_at=day(55))
    out = with_chick(out, 2, fate=ChickFate.WEANED, fate_at=day(58))
    dues = due_dates(replace(out, resting=True), SPECIES, day(59))
    assert DueKind.INDEPENDENT in {due.kind for due in dues}


# Moving one fact moves the right spans and no others.

DAYS = st.integers(2, 30).map(lambda halves: halves / 2)


@st.composite
def clutches(draw: st.DrawFn) -> tuple[Egg, ...]:
    looks = draw(st.lists(st.integers(4, 20), min_size=2, max_size=6, unique=True))
    return tuple(egg(number, laid) for number, laid in enumerate(sorted(looks), start=1))


@given(clutches(), DAYS, DAYS)
def test_moving_the_day_she_sat_moves_what_waited_for_her_and_nothing_else(
    eggs: tuple[Egg, ...], one: float, other: float
) -> None:
    before, after = sorted([one, other])
    checks = [look(20, len(eggs))]
    was = spans(nest(eggs, checks=checks, sitting_from=day(before)), 20)
    now = spans(nest(eggs, checks=checks, sitting_from=day(after)), 20)
    moved_by = after - before
    assert was.keys() == now.keys()
    for single in eggs:
        for kind in (DueKind.HATCH, *GROWING_UP):
            key = (kind, single.number)
            if single.laid_to <= day(before):
                assert now[key] == (was[key][0] + moved_by, was[key][1] + moved_by)
            elif single.laid_from >= day(after):
                assert now[key] == was[key]
    last = (DueKind.NEXT_EGG, len(eggs) + 1)
    assert now.get(last) == was.get(last)


def test_moving_the_day_she_sat_moves_nothing_of_chicks_that_are_there() -> None:
    eggs = [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7), egg(3, 9)]
    hatching = nest(eggs, [chick(1, 23)], [look(25, 2, 1)], sitting_from=day(6))
    assert hatching.clutch is not None
    later = replace(hatching, clutch=replace(hatching.clutch, sitting_from=day(7)))
    was, now = spans(hatching, 25), spans(later, 25)
    moved = {key for key in was if was[key] != now[key]}
    # Egg 2 was laid between day 6 and 7, egg 3 under her; chick 1 is the first out.
    assert moved == {(kind, 2) for kind in (DueKind.HATCH, *GROWING_UP)}


def test_moving_the_day_she_sat_moves_candling_and_the_hide_with_the_first_egg() -> None:
    assert SITTING.clutch is not None
    later = replace(SITTING, clutch=replace(SITTING.clutch, sitting_from=day(8)))
    was, now = spans(SITTING, 11), spans(later, 11)
    moved = {key for key in was if was[key] != now[key]}
    box = {(DueKind.CANDLE, None), (DueKind.HIDE_IN, None)}
    early = {(kind, n) for kind in (DueKind.HATCH, *GROWING_UP) for n in (1, 2)}
    assert moved == box | early


def due(kind: DueKind, since: float, until: float) -> Due:
    return Due(kind=kind, box="box-1", egg_number=None, since=day(since), until=day(until), why="")


def test_next_is_the_begun_span_that_ends_first() -> None:
    late, soon = due(DueKind.CANDLE, 1, 4), due(DueKind.RING, 3, 6)
    coming = due(DueKind.HATCH, 5.5, 5.6)
    assert next_due([soon, coming, late], day(5)) == late
    assert next_due([coming, soon], day(5)) == soon


def test_next_is_what_begins_first_when_nothing_has_begun() -> None:
    first, second = due(DueKind.HATCH, 7, 12), due(DueKind.RING, 8, 9)
    assert next_due([second, first], day(5)) == first


def test_nothing_is_next_where_nothing_is_due() -> None:
    assert next_due([], day(5)) is None
