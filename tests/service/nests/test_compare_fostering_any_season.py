"""Whatever is moved between boxes, as long as the keeper tells it: never a question, never a loss.

The test keeps its own account of which egg lies where, and never asks the book for it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import count

from hypothesis import given, settings
from hypothesis import strategies as st

from service.nests.book_says import BookSays
from service.nests.compare import Outcome, compare
from service.nests.guests import is_over
from service.nests.moving import MoveTold, moved, reopens, why_not
from service.nests.nest import (
    Bird,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    Egg,
    EggCandled,
    EggFate,
    EggLost,
    Guest,
    GuestSeen,
    Move,
    Nest,
    NestCheck,
    Pair,
    Sex,
)
from service.nests.place import Place, PlaceKind
from service.nests.question import QuestionKind
from tests.service.nests.nests_in_days import SPECIES, day, look
from tests.service.nests.shown_guests import shown_with

BOXES = ("box-1", "box-2", "box-3")
LOST_AS = st.sampled_from([fate for fate in EggFate if fate is not EggFate.HATCHED])


@dataclass(kw_only=True)
class Lived:
    """An egg, or the chick out of it, as it truly is."""

    clutch_id: int
    number: int
    box: str
    egg_fate: EggFate | None = None
    chick_fate: ChickFate | None = None
    clear: bool = False
    ring: str | None = None

    @property
    def is_egg(self) -> bool:
        return self.egg_fate is None

    @property
    def is_chick(self) -> bool:
        return self.egg_fate is EggFate.HATCHED and self.chick_fate is None


@dataclass(kw_only=True)
class Shed:
    """The book as it stands, and beside it what is true."""

    clutches: dict[int, Clutch] = field(default_factory=dict)
    checks: dict[str, list[NestCheck]] = field(default_factory=lambda: {box: [] for box in BOXES})
    truth: dict[tuple[int, int], Lived] = field(default_factory=dict)
    ids: "count[int]" = field(default_factory=lambda: count(1))

    def shown(self, box: str) -> Clutch | None:
        laid_here = [clutch for clutch in self.clutches.values() if clutch.box == box]
        return laid_here[-1] if laid_here else None

    def nest(self, box: str) -> Nest:
        number = BOXES.index(box) + 1
        clutch = self.shown(box)
        guests = [
            Guest(
                clutch=one,
                egg=egg,
                chick=next((c for c in one.chicks if c.egg_number == egg.number), None),
            )
            for one in self.clutches.values()
            for egg in one.eggs
            if egg.box(one.box) == box
            and one is not clutch
            and (egg.moves or not is_over(egg, one))
        ]
        nest = Nest(
            box=Place(id=box, kind=PlaceKind.BOX, name=f"Box {number}"),
            pair=Pair(
                id=number,
                cage=f"cage-{number}",
                cock=Bird(id=2 * number, sex=Sex.COCK),
                hen=Bird(id=2 * number + 1, sex=Sex.HEN),
                put_up_on=date(2026, 3, 1),
            ),
            clutch=clutch,
            checks=tuple(self.checks[box]),
            guests=tuple(guests),
        )
        return replace(nest, guests=tuple(one for one in guests if shown_with(nest, one)))

    def in_box(self, box: str) -> list[Lived]:
        return [one for one in self.truth.values() if one.box == box]

    def id_of(self, one: Lived) -> int:
        return self.clutches[one.clutch_id].eggs[one.number - 1].id

    def keep(self, clutch: Clutch | None) -> int:
        """What a store does: new rows get their ids."""
        if clutch is None:
            return 0
        clutch = replace(
            clutch,
            id=clutch.id or next(self.ids),
            eggs=tuple(replace(e, id=e.id or next(self.ids)) for e in clutch.eggs),
            chicks=tuple(replace(c, id=c.id or next(self.ids)) for c in clutch.chicks),
        )
        self.clutches[clutch.id] = clutch
        return clutch.id

    def told(self, check: NestCheck) -> Outcome:
        rings = BookSays(rings=())
        return compare(check, self.nest(check.box), SPECIES, now=check.at, book=rings)


def subset(draw: st.DrawFn, things: Iterable[Lived]) -> list[Lived]:
    return [one for one in things if draw(st.integers(0, 3)) == 0]


@st.composite
def happens_in(draw: st.DrawFn, shed: Shed, box: str, at: float) -> tuple[NestCheck, list[Lived]]:
    """Something happens in a box, and a look tells all of it; and the eggs that are new."""
    shown = shed.shown(box)
    going_on = shown if shown and shown.closed_at is None else None
    here = shed.in_box(box)
    hatched = subset(draw, (one for one in here if one.is_egg and not one.clear))
    for one in hatched:
        one.egg_fate = EggFate.HATCHED
    lost = subset(draw, (one for one in here if one.is_egg))
    for one in lost:
        one.egg_fate = draw(LOST_AS)
    gone = subset(draw, (one for one in here if one.is_chick))
    for one in gone:
        one.chick_fate = draw(st.sampled_from(ChickFate))
    ringed = subset(draw, (one for one in here if one.is_chick and one.ring is None))
    for one in ringed:
        one.ring = f"HZ {one.clutch_id} {one.number}"
    unseen = subset(draw, (one for one in here if one.is_egg))
    seen = [one for one in here if one.is_egg and one not in unseen]
    candled = subset(draw, seen)
    for one in candled:
        one.clear = draw(st.booleans())
    known = len(going_on.eggs) if going_on else 0
    laid = [
        Lived(clutch_id=going_on.id if going_on else 0, number=known + n, box=box)
        for n in range(1, draw(st.integers(0, 2)) + 1)
    ]
    told = [hatched, lost, gone, ringed, unseen, candled]
    own = [[one for one in part if shown and one.clutch_id == shown.id] for part in told]
    guests = {
        one.clutch_id * 1000 + one.number: one
        for part in told
        for one in part
        if not (shown and one.clutch_id == shown.id)
    }
    check = look(
        at,
        eggs=len(seen) + len(laid),
        chicks=sum(one.is_chick for one in here),
        hatched=tuple(one.number for one in own[0]),
        lost=tuple(EggLost(number=o.number, fate=o.egg_fate) for o in own[1] if o.egg_fate),
        gone=tuple(
            ChickGone(egg_number=o.number, fate=o.chick_fate) for o in own[2] if o.chick_fate
        ),
        ringed=tuple(ChickRinged(egg_number=o.number, ring=o.ring) for o in own[3] if o.ring),
        not_in_sight=tuple(one.number for one in own[4]),
        candled=tuple(EggCandled(number=o.number, result=light(o)) for o in own[5]),
        guests=tuple(
            GuestSeen(
                egg_id=shed.id_of(one),
                hatched=one in hatched,
                lost=one.egg_fate if one in lost else None,
                gone=one.chick_fate if one in gone else None,
                ring=one.ring if one in ringed else None,
                not_in_sight=one in unseen,
                candled=light(one) if one in candled else None,
            )
            for one in guests.values()
        ),
        sure=True,
    )
    return replace(check, box=box), laid


def light(one: Lived) -> Candling:
    return Candling.CLEAR if one.clear else Candling.FERTILE


def record(shed: Shed, check: NestCheck, laid: list[Lived]) -> None:
    outcome = shed.told(check)
    assert outcome.questions == ()
    clutch_id = shed.keep(outcome.clutch)
    for other in outcome.others:
        shed.keep(other)
    shed.checks[check.box].append(check)
    for place, one in enumerate(reversed(laid)):
        # The next round may have begun over the young of the last: its eggs count from 1.
        assert outcome.clutch is not None
        one.clutch_id, one.number = clutch_id, len(outcome.clutch.eggs) - place
        shed.truth[clutch_id, one.number] = one


def foster(shed: Shed, one: Lived, to_box: str, at: float) -> None:
    clutch = shed.clutches[one.clutch_id]
    egg = clutch.eggs[one.number - 1]
    told = MoveTold(
        clutch=clutch, egg=egg, out_of=shed.nest(one.box), into=shed.nest(to_box), at=day(at)
    )
    assert why_not(told, now=day(at)) is None
    move = Move(id=next(shed.ids), at=day(at), from_box=one.box, to_box=to_box)
    shed.keep(moved(clutch, egg.id, move, reopened=reopens(told)))
    one.box = to_box


def assert_book_is_true(shed: Shed) -> None:
    written = {
        (clutch.id, egg.number): (clutch, egg)
        for clutch in shed.clutches.values()
        for egg in clutch.eggs
    }
    assert written.keys() == shed.truth.keys()
    for key, (clutch, egg) in written.items():
        one = shed.truth[key]
        chicks = [chick for chick in clutch.chicks if chick.egg_number == egg.number]
        assert egg.box(clutch.box) == one.box
        assert egg.fate is one.egg_fate
        assert len(chicks) == (egg.fate is EggFate.HATCHED)
        assert [(c.fate, c.ring) for c in chicks] == [(one.chick_fate, one.ring) for _ in chicks]
        assert_in_order(egg)


def assert_in_order(egg: Egg) -> None:
    assert egg.laid_from <= egg.laid_to
    assert [move.at for move in egg.moves] == sorted(move.at for move in egg.moves)
    if egg.fate_from is not None and egg.fate_to is not None:
        assert egg.laid_from <= egg.fate_from <= egg.fate_to


@settings(max_examples=60)
@given(st.data())
def test_season_of_three_boxes_told_truthfully_is_never_questioned_and_ends_in_the_true_book(
    data: st.DataObject,
) -> None:
    shed, at = Shed(), 1.0
    for _ in range(data.draw(st.integers(1, 14))):
        at += data.draw(st.sampled_from([0.1, 0.5, 1, 2, 7, 20]))
        inside = [one for one in shed.truth.values() if one.is_egg or one.is_chick]
        if data.draw(st.booleans()) and inside:
            one = data.draw(st.sampled_from(inside))
            to_box = data.draw(st.sampled_from([box for box in BOXES if box != one.box]))
            foster(shed, one, to_box, at)
        else:
            box = data.draw(st.sampled_from(BOXES))
            record(shed, *data.draw(happens_in(shed, box, at)))
        assert_book_is_true(shed)


@settings(max_examples=60)
@given(st.data())
def test_egg_that_vanishes_among_guests_in_silence_is_always_asked_about(
    data: st.DataObject,
) -> None:
    shed = Shed()
    for box in BOXES[:2]:
        laid = [Lived(clutch_id=0, number=n, box=box) for n in range(1, 4)]
        record(shed, replace(look(5, 3, sure=True), box=box), laid)
    guests = data.draw(st.sets(st.integers(1, 3), min_size=1))
    for number in guests:
        one = next(o for o in shed.in_box("box-2") if o.number == number)
        foster(shed, one, "box-1", 6)
    there = data.draw(st.integers(0, 2 + len(guests)))
    outcome = shed.told(replace(look(data.draw(st.floats(6, 60)), there), box="box-1"))
    (question,) = outcome.questions
    assert question.kind is QuestionKind.FEWER_EGGS
    assert set(question.guests) == {o.id for o in shed.clutches[shed_clutch(shed)].eggs if o.moves}
    assert question.how_many == 3 + len(guests) - there


def shed_clutch(shed: Shed) -> int:
    return next(clutch.id for clutch in shed.clutches.values() if clutch.box == "box-2")


@settings(max_examples=60)
@given(st.data())
def test_box_whose_eggs_were_all_moved_away_is_taken_as_empty_without_a_question(
    data: st.DataObject,
) -> None:
    shed = Shed()
    record(
        shed,
        replace(look(5, 3, sure=True), box="box-1"),
        [Lived(clutch_id=0, number=n, box="box-1") for n in range(1, 4)],
    )
    for one in shed.in_box("box-1"):
        foster(shed, one, data.draw(st.sampled_from(["box-2", "box-3"])), 6)
    outcome = shed.told(replace(look(6.5, 0), box="box-1"))
    assert (outcome.questions, outcome.changes) == ((), ())
