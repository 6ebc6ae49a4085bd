"""A form over a nest that changed meanwhile: what the first phone told is not told twice."""

import pytest

from dashboards.views.check_rebased import counted, out_already, rebased
from service.nests.nest import Candling, ChickFate, EggFate
from tests.service.nests.nests_in_days import chick, day, egg, nest

HATCHED = EggFate.HATCHED
THREE = [egg(1, 5), egg(2, 7), egg(3, 9)]


def sent(
    eggs: int, chicks: int = 0, before: tuple[int, int] = (3, 0), **more: str
) -> dict[str, str]:
    told = {"eggs": str(eggs), "chicks": str(chicks), "counted": "yes"}
    names = {name.replace("__", "."): value for name, value in more.items()}
    return {**told, "eggs_before": str(before[0]), "chicks_before": str(before[1]), **names}


def counts(of: dict[str, str]) -> tuple[str, str]:
    return of["eggs"], of["chicks"]


def test_egg_that_both_found_is_counted_once() -> None:
    now = nest([*THREE, egg(4, 11)])
    kept = rebased(sent(4, tap__egg__4="yes"), now)
    assert counts(kept) == ("4", "0")
    assert "tap.egg.4" not in kept


def test_egg_that_both_counted_by_hand_is_counted_once() -> None:
    assert counts(rebased(sent(4), nest([*THREE, egg(4, 11)]))) == ("4", "0")


def test_egg_that_only_the_first_found_is_not_missing() -> None:
    assert counts(rebased(sent(3), nest([*THREE, egg(4, 11)]))) == ("4", "0")


def test_chick_that_both_saw_hatch_is_one_chick() -> None:
    now = nest([egg(1, 5, fate=HATCHED), *THREE[1:]], [chick(1, 23)])
    kept = rebased(sent(2, 1, tap__hatched__egg__1="yes"), now)
    assert counts(kept) == ("2", "1")
    assert "tap.hatched.egg.1" not in kept


def test_hatch_of_another_egg_comes_on_top() -> None:
    now = nest([egg(1, 5, fate=HATCHED), *THREE[1:]], [chick(1, 23)])
    assert counts(rebased(sent(2, 1, tap__hatched__egg__2="yes"), now)) == ("1", "2")


def test_egg_that_both_missed_without_a_name_is_missing_once() -> None:
    now = nest([egg(1, 5, fate=EggFate.BROKEN), *THREE[1:]])
    assert counts(rebased(sent(2), now)) == ("2", "0")


def test_what_says_something_else_than_the_book_goes_into_the_note() -> None:
    now = nest([egg(1, 5, fate=EggFate.BROKEN), *THREE[1:]])
    kept = rebased(sent(2, egg__1__fate="clear", note="cold"), now)
    assert "egg.1.fate" not in kept
    assert kept["note"] == "cold\nTold from a page opened earlier: egg 1 clear."


def test_what_the_book_has_alike_is_dropped_without_a_word() -> None:
    now = nest([egg(1, 5, fate=EggFate.BROKEN), *THREE[1:]])
    assert not rebased(sent(2, egg__1__fate="broken"), now).get("note")


def test_eggs_that_were_candled_meanwhile_leave_the_rest() -> None:
    now = nest([egg(1, 5, candling=Candling.CLEAR), *THREE[1:]])
    kept = rebased(sent(3, tap__candle="egg.1,egg.2,egg.3"), now)
    assert kept["tap.candle"] == "egg.2,egg.3"


def test_other_ring_of_a_chick_that_got_one_meanwhile_goes_into_the_note() -> None:
    now = nest([egg(1, 5, fate=HATCHED)], [chick(1, 23, ring="HZ-1", ringed_at=day(31))])
    told = sent(0, 1, (0, 1), tap__ring__chick__1="yes", ring__chick__1="HZ-2")
    assert "chick 1 ring HZ-2" in rebased(told, now)["note"]
    same = sent(0, 1, (0, 1), tap__ring__chick__1="yes", ring__chick__1="HZ-1")
    assert not rebased(same, now).get("note")


def test_chick_that_both_saw_come_out_is_out_once() -> None:
    chicks = [chick(1, 23, fate=ChickFate.FLEDGED, fate_at=day(55)), chick(2, 25)]
    now = nest([egg(1, 5, fate=HATCHED), egg(2, 7, fate=HATCHED)], chicks)
    assert counts(rebased(sent(0, 1, (0, 2), tap__out__chick__1="yes"), now)) == ("0", "1")
    assert counts(rebased(sent(0, 1, (0, 2), chick__1__fate="fledged"), now)) == ("0", "1")


@pytest.mark.parametrize("eggs", [0, 1, 2, 3, 4, 5])
def test_nest_that_did_not_change_keeps_what_was_counted(eggs: int) -> None:
    assert counts(rebased(sent(eggs), nest(THREE))) == (str(eggs), "0")


def test_chicks_that_are_out_are_not_counted_in_the_box() -> None:
    chicks = [chick(1, 23, fate=ChickFate.FLEDGED, fate_at=day(55)), chick(2, 25)]
    now = nest([egg(1, 5, fate=HATCHED), egg(2, 7, fate=HATCHED)], chicks)
    assert counted(now) == (0, 1)
    assert out_already(now) == {"chick.1"}
