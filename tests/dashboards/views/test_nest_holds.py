"""What a box holds, in marks and words: its own in laying order, guests told as such."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from dashboards.marks.nest_holding import holding_mark
from dashboards.views.due_words import due_thing
from dashboards.views.nest_holds import Holding, Mark, holdings, there_in_words
from dashboards.views.nest_view import Around, nest_view
from service.nests.due import DueKind
from service.nests.due_dates import due_dates
from service.nests.nest import Candling, ChickFate, EggFate, Guest, Move, Nest
from service.nests.place import Place, PlaceKind
from tests.dashboards.filled_shed import ZONE
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest

NAMES = {"box-1": "Box 1", "box-2": "Box 2"}
AWAY = Move(id=1, at=day(12), from_box="box-1", to_box="box-2")
HATCHED = {"fate": EggFate.HATCHED, "fate_from": day(24), "fate_to": day(25)}
FULL = nest(
    [
        egg(1, 5, **HATCHED),
        egg(2, 7, **HATCHED),
        egg(3, 9, fate=EggFate.BROKEN, fate_to=day(12)),
        egg(4, 11, candling=Candling.FERTILE, candled_at=day(14)),
        replace(egg(5, 12), moves=(AWAY,)),
    ],
    [chick(1, 25), chick(2, 25, ring="HZ-26-021", ringed_at=day(33))],
    [look(25, 1, 2)],
    sitting_from=day(7),
)
OTHER = Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="cage-2")


def host() -> Nest:
    assert FULL.clutch is not None
    return Nest(box=OTHER, guests=(Guest(clutch=FULL.clutch, egg=FULL.clutch.eggs[4]),))


def told(of: Nest, at: float) -> list[tuple[Mark, int, str, str]]:
    return [
        (one.mark, one.number, one.words, one.home) for one in holdings(of, NAMES, day(at), ZONE)
    ]


def test_own_eggs_and_chicks_stand_in_laying_order() -> None:
    assert told(FULL, 34) == [
        (Mark.CHICK, 1, "9 to 10 days", ""),
        (Mark.RINGED, 2, "HZ-26-021, 9 to 10 days", ""),
        (Mark.LOST, 3, "lost, broken", ""),
        (Mark.EGG, 4, "fertile", ""),
        (Mark.AWAY, 5, "in Box 2 since 13 March", ""),
    ]


def test_a_guest_is_told_as_such_where_it_lies_now() -> None:
    assert told(host(), 13) == [(Mark.EGG, 5, "not candled", "Box 1")]


def test_the_young_of_the_round_before_are_of_no_other_pair() -> None:
    over = FULL.clutch
    assert over is not None
    young = tuple(
        Guest(clutch=over, egg=over.eggs[number - 1], chick=over.chicks[number - 1])
        for number in (1, 2)
    )
    second = nest([egg(1, 58)])
    assert second.clutch is not None
    both = replace(second, clutch=replace(second.clutch, id=9, round=2), guests=young)
    assert there_in_words(both) == "2 chicks and 1 egg, 2 of them of the round before"
    assert [home for *_, home in told(both, 60)] == ["", "round 1", "round 1"]
    rings = (due for due in due_dates(both, SPECIES, day(60)) if due.kind is DueKind.FLEDGE)
    assert {due_thing(due, NAMES) for due in rings} == {
        "chick 1",
        "chick 1 of the round before",
        "chick 2 of the round before",
    }


def test_on_paper_the_day_of_a_chick_stands_for_its_age() -> None:
    first = holdings(FULL, NAMES, None, ZONE)[0]
    assert first.words == "since 26 March"


@pytest.mark.parametrize(
    ("fate", "mark", "words"),
    [
        (ChickFate.DIED, Mark.LOST, "died"),
        (ChickFate.FLEDGED, Mark.OUT, "fledged"),
        (ChickFate.WEANED, Mark.OUT, "weaned"),
    ],
)
def test_a_chick_that_left_or_died_keeps_its_place(fate: ChickFate, mark: Mark, words: str) -> None:
    gone = nest([egg(1, 5, **HATCHED)], [chick(1, 25, fate=fate, fate_at=day(57))])
    assert told(gone, 60) == [(mark, 1, words, "")]


def test_what_lies_there_counts_guests_and_leaves_out_what_is_away() -> None:
    assert there_in_words(FULL) == "2 chicks and 1 egg"
    assert there_in_words(host()) == "1 egg, of another pair"
    assert FULL.clutch is not None
    both = replace(FULL, guests=(Guest(clutch=FULL.clutch, egg=FULL.clutch.eggs[4]),))
    assert there_in_words(both) == "2 chicks and 2 eggs, 1 of them of another pair"


@pytest.mark.parametrize("mark", list(Mark))
def test_every_mark_says_its_number_and_is_spoken(mark: Mark) -> None:
    root = ET.fromstring(holding_mark(Holding(mark=mark, number=7, words="lost, broken")))
    assert "7" in [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "7, lost, broken" in root.attrib["aria-label"]
    # Colour never enters a mark: it has the ink of the words around it.
    inks = {one.attrib.get(name) for one in root.iter() for name in ("fill", "stroke")}
    assert inks <= {None, "none", "currentColor"}


def test_both_boxes_tell_of_an_egg_that_was_moved() -> None:
    around = Around(names=NAMES)
    home = nest_view(FULL, SPECIES, None, day(13), ZONE, around=around)
    there = nest_view(host(), SPECIES, None, day(13), ZONE, around=around)
    assert home.rows[4].then == "moved yesterday to Box 2"
    assert home.rows[4].next == ""
    assert [(row.number, row.home) for row in there.rows] == [(5, "Box 1")]
    assert there.rows[0].next.startswith("hatch ")
    assert there.dues[0].what == "candle"
    assert "hatch, egg 5 of Box 1" in [due.what for due in there.dues]
    assert not any("egg 5" in due.what for due in home.dues)
    assert home.picture is not None
    assert there.picture is not None
    assert (home.picture.eggs[4].ended, home.picture.eggs[4].end_words) == (day(12), "in Box 2")
    assert (there.picture.eggs[0].laid, there.picture.eggs[0].home) == (day(12), "Box 1")
    assert there.summary.startswith("1 egg, of another pair, sitting. Next: candle ")


def test_on_paper_no_day_is_called_today() -> None:
    around = Around(names=NAMES, on_paper=True)
    told_on_paper = nest_view(FULL, SPECIES, None, day(25), ZONE, around=around)
    words = [due.when for due in told_on_paper.dues] + [row.then for row in told_on_paper.rows]
    words.append(told_on_paper.summary)
    assert not any(word in text for text in words for word in ("today", "tomorrow", "yesterday"))
