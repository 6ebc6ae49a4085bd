"""What lies in another box is due there, and nowhere else."""

from dataclasses import replace

from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates
from service.nests.nest import ChickFate, Clutch, Egg, EggFate, Guest, Move, Nest
from service.nests.own_ways import own_ways
from service.nests.place import Place, PlaceKind
from tests.service.nests.nests_in_days import BOX, SPECIES, chick, day, egg, look, nest

OTHER = Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="cage-2")
AWAY = Move(id=1, at=day(12), from_box="box-1", to_box="box-2", why="cold hen")
BACK = Move(id=2, at=day(15), from_box="box-2", to_box="box-1")
ON = Move(id=3, at=day(15), from_box="box-2", to_box="box-3")


def laid_here(*moves: Move, **facts: object) -> Nest:
    """Three eggs sat on from day 7 in box 1; the second was moved."""
    eggs = [egg(1, 5), replace(egg(2, 7), moves=moves, **facts), egg(3, 9)]  # type: ignore[arg-type]
    return nest(eggs, checks=[look(9, 3)], sitting_from=day(7))


def host(of: Nest, *, clutch: Clutch | None = None, box: Place = OTHER) -> Nest:
    """A box that the second egg was moved into."""
    assert of.clutch is not None
    moved: Egg = of.clutch.eggs[1]
    chicks = [one for one in of.clutch.chicks if one.egg_number == 2]
    guest = Guest(
        clutch=of.clutch,
        egg=moved,
        chick=chicks[0] if chicks else None,
        home=BOX,
        checks=of.checks,
    )
    return Nest(box=box, clutch=clutch, guests=(guest,))


def due_of_two(of: Nest, now: float) -> list[Due]:
    return [due for due in due_dates(of, SPECIES, day(now)) if due.egg_id == 2]


def test_an_egg_that_is_away_is_due_in_the_other_box_alone() -> None:
    home = laid_here(AWAY)
    assert due_of_two(home, 13) == []
    there = due_of_two(host(home), 13)
    assert {due.kind for due in there} >= {DueKind.HATCH, DueKind.RING, DueKind.FLEDGE}
    assert {(due.box, due.laid_in) for due in there} == {("box-2", "box-1")}


def test_a_guest_that_was_sat_on_before_hatches_when_it_would_have_at_home() -> None:
    stayed = [due for due in due_of_two(laid_here(), 13) if due.kind is DueKind.HATCH]
    came = [due for due in due_of_two(host(laid_here(AWAY)), 13) if due.kind is DueKind.HATCH]
    assert [(due.since, due.until) for due in came] == [(due.since, due.until) for due in stayed]
    assert came[0].why == (
        "egg 2 of Box 1: sitting from 8 March, as you said; hatches after 17 to 20 days"
    )


def test_a_guest_that_nobody_sat_on_at_home_grows_from_the_day_it_came() -> None:
    cold = replace(laid_here(AWAY))
    assert cold.clutch is not None
    cold = replace(cold, clutch=replace(cold.clutch, sitting_from=day(14)))
    (hatch,) = [due for due in due_of_two(host(cold), 13) if due.kind is DueKind.HATCH]
    assert (hatch.since, hatch.until) == (day(12 + 17), day(12 + 20))
    assert hatch.why.startswith("egg 2 of Box 1 came on 13 March and was warm here")


def test_an_egg_that_came_back_is_due_at_home_again() -> None:
    assert {due.box for due in due_of_two(laid_here(AWAY, BACK), 16)} == {"box-1"}


def test_an_egg_moved_twice_is_due_in_the_third_box() -> None:
    home = laid_here(AWAY, ON)
    third = Place(id="box-3", kind=PlaceKind.BOX, name="Box 3", within="cage-3")
    assert due_of_two(home, 16) == []
    assert {due.box for due in due_of_two(host(home, box=third), 16)} == {"box-3"}


def test_a_guest_chick_has_its_ring_due_where_it_is() -> None:
    home = laid_here(AWAY, fate=EggFate.HATCHED, fate_from=day(24), fate_to=day(25))
    assert home.clutch is not None
    home = replace(home, clutch=replace(home.clutch, chicks=(chick(2, 25),)))
    (ring,) = [due for due in due_of_two(host(home), 26) if due.kind is DueKind.RING]
    assert (ring.since, ring.until) == (day(31), day(35))
    assert (
        ring.why == "chick 2 of Box 1 hatched 25 to 26 March; the ring goes on after 7 to 10 days"
    )


def test_a_guest_counts_for_the_place_to_hide_of_its_box() -> None:
    dues = due_dates(host(laid_here(AWAY)), SPECIES, day(13))
    (hide,) = [due for due in dues if due.kind is DueKind.HIDE_IN]
    assert "chick 2 of Box 1 may come out from" in hide.why


def test_a_box_off_waits_for_its_guests() -> None:
    home = laid_here(AWAY, fate=EggFate.HATCHED, fate_from=day(24), fate_to=day(25))
    assert home.clutch is not None
    home = replace(home, clutch=replace(home.clutch, chicks=(chick(2, 25),)))
    (off,) = [due for due in due_dates(host(home), SPECIES, day(40)) if due.kind is DueKind.BOX_OFF]
    # Hatched between day 24 and 25, out after 28 to 35 days, off 1 to 7 days later.
    assert (off.since, off.until) == (day(24 + 28 + 1), day(25 + 35 + 7))


def test_a_guest_that_is_out_has_feeding_itself_and_parting_to_come() -> None:
    home = laid_here(AWAY, fate=EggFate.HATCHED, fate_from=day(24), fate_to=day(25))
    assert home.clutch is not None
    out = chick(2, 25, fate=ChickFate.FLEDGED, fate_at=day(57))
    home = replace(home, clutch=replace(home.clutch, chicks=(out,)))
    assert [due.kind for due in due_of_two(host(home), 58)] == [DueKind.INDEPENDENT, DueKind.SPLIT]


def test_a_guest_that_lay_in_two_boxes_may_have_grown_from_the_first_move_on() -> None:
    cold = laid_here(AWAY, ON)
    assert cold.clutch is not None
    cold = replace(cold, clutch=replace(cold.clutch, sitting_from=day(14)))
    (hatch,) = [due for due in due_of_two(host(cold), 16) if due.kind is DueKind.HATCH]
    # Sat on in the second box from day 12, or in the third from day 15.
    assert (hatch.since, hatch.until) == (day(12 + 17), day(15 + 20))


def test_an_egg_that_came_back_may_have_grown_while_it_was_away() -> None:
    cold = laid_here(AWAY, BACK)
    assert cold.clutch is not None
    cold = replace(cold, clutch=replace(cold.clutch, sitting_from=day(15)))
    (hatch,) = [due for due in due_of_two(cold, 16) if due.kind is DueKind.HATCH]
    assert (hatch.since, hatch.until) == (day(12 + 17), day(15 + 20))


def test_the_ways_of_the_hen_that_rears_a_guest_are_not_those_of_its_egg() -> None:
    chicks = [chick(number, 1 + 2 * number + 18) for number in range(1, 8)]
    eggs = [egg(number, 1 + 2 * number, fate=EggFate.HATCHED) for number in range(1, 8)]
    quick = nest(eggs, chicks, sitting_from=day(3)).clutch
    usual = SPECIES.hatch_after_sitting
    assert own_ways(SPECIES, quick).hatch_after_sitting.most < usual.most
    reared = replace(host(laid_here(AWAY)), before=quick)
    (hatch,) = [due for due in due_of_two(reared, 13) if due.kind is DueKind.HATCH]
    assert (hatch.since, hatch.until) == (day(7 + usual.least), day(7 + usual.most))
