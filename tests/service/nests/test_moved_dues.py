"""By which fact a due date moved, and how far."""

from dataclasses import replace
from datetime import UTC
from zoneinfo import ZoneInfo

from service.nests.due import DueKind
from service.nests.due_dates import due_dates
from service.nests.known_facts import known_facts, nest_known_by
from service.nests.moved_dues import moved_dues, moved_in_words
from service.nests.nest import Candling, ChickFate, EggFate, HenSeen, Nest
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest

LAYING = nest(
    [egg(1, 5), egg(2, 7), egg(3, 9), egg(4, 11)],
    checks=[look(at, n, hen=HenSeen.IN_BOX) for at, n in ((5, 1), (7, 2), (9, 3), (11, 4))],
)


def told(of: Nest, now: float, kind: DueKind, number: int | None = None) -> str | None:
    """Why that due moved, in words; None where it never did."""
    moves = moved_dues(of, SPECIES, day(now))
    (due,) = [
        due
        for due in due_dates(of, SPECIES, day(now))
        if (due.kind, due.egg_number) == (kind, number)
    ]
    return moved_in_words(moves[due.key], due, UTC) if due.key in moves else None


def test_a_new_egg_moves_the_end_of_laying() -> None:
    # Egg 4 was found on day 11, which is 12 March.
    assert told(LAYING, 11, DueKind.CLUTCH_COMPLETE) == (
        "moved 2 days later: egg 4 was found on 12 March"
    )


def test_the_third_egg_says_closer_when_she_can_have_begun() -> None:
    # After egg 2 on day 7 the third was to be expected until day 9.5, and a hatch until 29.5.
    assert told(LAYING, 11, DueKind.HATCH, 1) == (
        "closer than 22 to 31 March: egg 3 was found on 10 March"
    )


def test_the_next_egg_has_not_moved() -> None:
    assert told(LAYING, 11, DueKind.NEXT_EGG, 5) is None


def test_the_keepers_word_is_the_last_fact_where_nobody_noted_when() -> None:
    assert LAYING.clutch is not None
    said = replace(LAYING, clutch=replace(LAYING.clutch, sitting_from=day(7)))
    assert told(said, 11, DueKind.HATCH, 1) == (
        "closer than 22 to 30 March: you said that she sat from 8 March"
    )


def test_a_chick_moves_its_own_outing_and_no_ring_of_others() -> None:
    eggs = [egg(1, 5, fate=EggFate.HATCHED, fate_from=day(24), fate_to=day(25)), egg(2, 7)]
    hatching = nest(eggs, [chick(1, 25)], [look(7, 2), look(25, 1, 1)], sitting_from=day(7))
    moves = moved_dues(hatching, SPECIES, day(25), sat_told_at=day(8))
    assert {
        (kind, egg_id) for kind, egg_id, _ in moves if moves[kind, egg_id, None].at > day(24)
    } == {
        (DueKind.RING, 1),
        (DueKind.FLEDGE, 1),
        (DueKind.INDEPENDENT, 1),
        (DueKind.SPLIT, 1),
    }
    assert told(hatching, 25, DueKind.RING, 1) == (
        "closer than 29 March to 10 April: egg 1 was found hatched on 26 March"
    )


def test_a_move_within_the_same_days_is_none() -> None:
    clear = nest(
        [egg(1, 5), egg(2, 7, candling=Candling.CLEAR, candled_at=day(13))],
        checks=[look(7, 2)],
        sitting_from=day(7),
    )
    moves = moved_dues(clear, SPECIES, day(14), sat_told_at=day(8))
    assert all(move.at <= day(8) for move in moves.values())


def test_days_are_those_of_the_shed() -> None:
    moves = moved_dues(LAYING, SPECIES, day(11), ZoneInfo("Pacific/Auckland"))
    (complete,) = [move for key, move in moves.items() if key[0] is DueKind.CLUTCH_COMPLETE]
    assert complete.fact == "egg 4 was found on 13 March"


def test_a_nest_that_is_known_by_all_its_facts_is_the_nest() -> None:
    full = nest(
        [
            egg(1, 5, fate=EggFate.HATCHED, fate_from=day(24), fate_to=day(25)),
            egg(2, 7, candling=Candling.CLEAR, candled_at=day(14)),
            egg(3, 9, fate=EggFate.BROKEN, fate_from=day(10), fate_to=day(11)),
        ],
        [chick(1, 25, ring="A", ringed_at=day(33), fate=ChickFate.FLEDGED, fate_at=day(55))],
        [look(7, 2), look(9, 3, hen=HenSeen.SITTING), look(25, 1, 1)],
        sitting_from=day(7),
        hide_in_at=day(50),
        closed_at=day(55),
    )
    facts = known_facts(full, SPECIES, day(60))
    assert nest_known_by(full, frozenset((fact.kind, fact.of) for fact in facts)) == full
    assert nest_known_by(full, frozenset()).clutch is None
