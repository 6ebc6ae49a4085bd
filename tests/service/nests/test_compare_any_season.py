"""Whatever a season brings, as long as the keeper tells it: no egg is lost, no count is off."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from service.nests.compare import Outcome
from service.nests.nest import (
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    EggCandled,
    EggFate,
    EggLost,
    Nest,
    NestCheck,
)
from service.nests.question import QuestionKind
from tests.service.nests.nests_in_days import found, look, nest

DAYS_BETWEEN = st.sampled_from([0.5, 1, 2, 7, 20])
NUMBERS = st.integers(-1, 7)
LOST_AS = st.sampled_from([fate for fate in EggFate if fate is not EggFate.HATCHED])


@st.composite
def told_looks(draw: st.DrawFn, before: Nest, at: float) -> NestCheck:
    """A look that tells all that happened, in any mixture."""
    clutch = before.clutch
    if clutch is None or clutch.closed_at is not None:
        clutch = Clutch(id=0, box="box-1", pair_id=7, round=1)
    lying = [egg.number for egg in clutch.eggs if egg.fate is None]
    if not clutch.eggs:
        # The book begins with this look: what happened before it is told with it.
        lying = list(range(1, draw(st.integers(0, 8)) + 1))
    in_box = [chick.egg_number for chick in clutch.chicks if chick.fate is None]
    new = draw(st.integers(0, 3))
    hatched = draw(st.sets(st.sampled_from(lying))) if lying else set()
    left = [number for number in lying if number not in hatched]
    lost = draw(st.sets(st.sampled_from(left))) if left else set()
    there = [*in_box, *hatched]
    gone = draw(st.sets(st.sampled_from(there))) if there else set()
    return look(
        at,
        eggs=len(left) - len(lost) + new,
        chicks=len(there) - len(gone),
        hatched=tuple(sorted(hatched)),
        lost=tuple(EggLost(number=number, fate=draw(LOST_AS)) for number in sorted(lost)),
        gone=tuple(
            ChickGone(egg_number=number, fate=draw(st.sampled_from(ChickFate)))
            for number in sorted(gone)
        ),
        sure=True,
    )


@given(st.data())
def test_season_told_in_full_is_taken_without_a_question_and_never_loses_an_egg(
    data: st.DataObject,
) -> None:
    standing, at = nest(), 1.0
    for _ in range(data.draw(st.integers(1, 12))):
        at += data.draw(DAYS_BETWEEN)
        check = data.draw(told_looks(standing, at))
        outcome = found(check, standing)
        assert outcome.questions == ()
        if outcome.others:
            _assert_both_rounds_agree(check, outcome)
            break
        _assert_agrees(check, standing.clutch, outcome.clutch)
        standing = _with(check, outcome.clutch, standing)


@st.composite
def any_looks(draw: st.DrawFn, at: float) -> NestCheck:
    """A look that tells anything at all, true or not, and leaves out what it likes."""
    return look(
        at,
        eggs=draw(st.integers(0, 6)),
        chicks=draw(st.integers(0, 4)),
        hatched=tuple(draw(st.lists(NUMBERS, max_size=2))),
        lost=tuple(
            EggLost(number=number, fate=draw(st.sampled_from(EggFate)))
            for number in draw(st.lists(NUMBERS, max_size=2))
        ),
        candled=tuple(
            EggCandled(number=number, result=draw(st.sampled_from(Candling)))
            for number in draw(st.lists(NUMBERS, max_size=1))
        ),
        ringed=tuple(
            ChickRinged(egg_number=number, ring=f"R{number}")
            for number in draw(st.lists(NUMBERS, max_size=1))
        ),
        gone=tuple(
            ChickGone(egg_number=number, fate=draw(st.sampled_from(ChickFate)))
            for number in draw(st.lists(NUMBERS, max_size=2))
        ),
        sure=draw(st.booleans()),
    )


@given(st.data())
def test_whatever_is_told_is_asked_about_or_stands_in_the_book_as_it_was_counted(
    data: st.DataObject,
) -> None:
    standing, at = nest(), 1.0
    for _ in range(data.draw(st.integers(1, 12))):
        at += data.draw(DAYS_BETWEEN)
        check = data.draw(
            st.one_of(any_looks(at), told_looks(standing, at), half_told(standing, at))
        )
        outcome = found(check, standing)
        if outcome.questions:
            assert outcome.clutch is None
            continue
        if outcome.others:
            _assert_both_rounds_agree(check, outcome)
            break
        _assert_agrees(check, standing.clutch, outcome.clutch)
        standing = _with(check, outcome.clutch, standing)


@st.composite
def half_told(draw: st.DrawFn, before: Nest, at: float) -> NestCheck:
    """A true look that says less than happened."""
    check = draw(told_looks(before, at))
    return replace(
        check,
        hatched=tuple(number for number in check.hatched if draw(st.booleans())),
        lost=tuple(egg for egg in check.lost if draw(st.booleans())),
        gone=tuple(chick for chick in check.gone if draw(st.booleans())),
        sure=draw(st.booleans()),
    )


def _with(check: NestCheck, clutch: Clutch | None, before: Nest) -> Nest:
    stored = clutch and replace(
        clutch, id=3, eggs=tuple(replace(egg, id=egg.number) for egg in clutch.eggs)
    )
    return replace(before, clutch=stored, checks=(*before.checks, check))


def _assert_both_rounds_agree(check: NestCheck, outcome: Outcome) -> None:
    """The next round began over the young of the last: the look counts both."""
    (over,) = outcome.others
    new = outcome.clutch
    assert new is not None
    assert (new.round, over.closed_at, new.closed_at) == (over.round + 1, check.at, None)
    eggs = [egg for egg in (*over.eggs, *new.eggs) if egg.fate is None]
    chicks = [chick for chick in (*over.chicks, *new.chicks) if chick.fate is None]
    assert (len(eggs), len(chicks)) == (check.eggs, check.chicks)


def _assert_agrees(check: NestCheck, before: Clutch | None, after: Clutch | None) -> None:
    if after is None:
        assert (check.eggs, check.chicks, before) == (0, 0, None)
        assert (check.hatched, check.lost, check.ringed, check.gone) == ((), (), (), ())
        return
    _assert_names_stand(check, after)
    assert [egg.number for egg in after.eggs] == list(range(1, len(after.eggs) + 1))
    assert sum(egg.fate is None for egg in after.eggs) == check.eggs
    assert sum(chick.fate is None for chick in after.chicks) == check.chicks
    assert all(egg.laid_from <= egg.laid_to <= check.at for egg in after.eggs)
    assert all(chick.hatched_from <= chick.hatched_to for chick in after.chicks)
    hatched = {egg.number for egg in after.eggs if egg.fate is EggFate.HATCHED}
    assert hatched == {chick.egg_number for chick in after.chicks}
    if before is not None and before.closed_at is None:
        assert len(after.eggs) >= len(before.eggs)
        for was, now in zip(before.eggs, after.eggs, strict=False):
            assert (was.laid_from, was.laid_to) == (now.laid_from, now.laid_to)
            assert was.fate is None or was.fate is now.fate


def _assert_names_stand(check: NestCheck, after: Clutch) -> None:
    """Every egg and chick that the look names has in the book what was said of it."""
    eggs = {egg.number: egg for egg in after.eggs}
    chicks = {chick.egg_number: chick for chick in after.chicks}
    assert all(eggs[number].fate is EggFate.HATCHED for number in check.hatched)
    assert all(eggs[lost.number].fate is lost.fate for lost in check.lost)
    assert all(eggs[candled.number].candling is candled.result for candled in check.candled)
    assert all(chicks[ringed.egg_number].ring == ringed.ring for ringed in check.ringed)
    assert all(chicks[gone.egg_number].fate is gone.fate for gone in check.gone)


@given(st.integers(1, 8), st.data())
def test_eggs_that_vanish_in_silence_are_always_asked_about(laid: int, data: st.DataObject) -> None:
    first = look(5, laid, sure=True)
    standing = replace(nest(), clutch=found(first, nest()).clutch, checks=(first,))
    there = data.draw(st.integers(0, laid - 1))
    outcome = found(look(data.draw(st.floats(5, 60)), there), standing)
    assert QuestionKind.FEWER_EGGS in [question.kind for question in outcome.questions]
    assert outcome.clutch is None
