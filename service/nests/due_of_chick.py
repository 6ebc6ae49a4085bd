"""What a chick has to come: ring, first outing, feeding itself, apart from its parents. Pure."""

from collections.abc import Iterator, Sequence

from service.nests.due import Due, DueKind
from service.nests.nest import Chick, ChickFate, Clutch
from service.nests.place import Place
from service.nests.reckoning import Reckoning, after
from service.nests.residents import Resident
from service.nests.sitting import hatched, laid
from service.nests.span import Span

_THEN = {
    DueKind.RING: "the ring goes on",
    DueKind.FLEDGE: "out of the box",
    DueKind.INDEPENDENT: "feeds itself",
    DueKind.SPLIT: "apart from its parents",
}
_STEPS = tuple(_THEN)


def dues_of_young(reckoning: Reckoning) -> Iterator[Due]:
    """Of chicks, of eggs that may become some, and of the last round's young."""
    for one in reckoning.residents:
        if one.chick is not None:
            yield from _of_chick(reckoning, one, one.chick)
    for one in reckoning.still_to_hatch():
        born = reckoning.hatch(one)
        told = f"if {one.words('egg')} hatches {reckoning.days(born)}"
        yield from _steps(reckoning, one, born, told, _STEPS)
    for one, chick in _young_of_before(reckoning):
        yield from _of_chick(reckoning, one, chick)


def _of_chick(reckoning: Reckoning, one: Resident, chick: Chick) -> Iterator[Due]:
    born = hatched(chick)
    told = f"{one.words('chick')} hatched {reckoning.days(born)}"
    dues = _steps(reckoning, one, born, told, _open_steps(chick))
    if chick.fate is ChickFate.WEANED:
        # The book has no word for "was put apart": past its days it is taken for done.
        dues = (due for due in dues if due.until >= reckoning.now)
    yield from dues


def _steps(
    reckoning: Reckoning, one: Resident, born: Span, told: str, steps: Sequence[DueKind]
) -> Iterator[Due]:
    species = reckoning.species
    usual = {
        DueKind.RING: species.ring_after_hatch,
        DueKind.FLEDGE: species.fledge_after_hatch,
        DueKind.INDEPENDENT: species.independent_after_hatch,
        DueKind.SPLIT: species.split_after_hatch,
    }
    for kind in steps:
        why = f"{told}; {_THEN[kind]} {after(usual[kind])}"
        yield reckoning.due(kind, born.after(usual[kind]), why, of=one)


def _open_steps(chick: Chick) -> tuple[DueKind, ...]:
    if chick.fate is ChickFate.WEANED:
        return (DueKind.SPLIT,)
    if chick.fate is ChickFate.FLEDGED:
        return (DueKind.INDEPENDENT, DueKind.SPLIT)
    if chick.fate is not None:
        return ()
    return _STEPS if chick.ring is None else _STEPS[1:]


def _young_of_before(reckoning: Reckoning) -> Iterator[tuple[Resident, Chick]]:
    """Young of the last round that are out and still with their parents, until their time."""
    before, nest = reckoning.nest.before, reckoning.nest
    if before is None or before.box != nest.box.id:
        return
    for chick in before.chicks:
        apart = hatched(chick).after(reckoning.species.split_after_hatch)
        if chick.fate in (ChickFate.FLEDGED, ChickFate.WEANED) and apart.until >= reckoning.now:
            yield _resident_of(before, chick, nest.box), chick


def _resident_of(before: Clutch, chick: Chick, box: Place) -> Resident:
    egg = before.eggs[chick.egg_number - 1]
    return Resident(egg=egg, chick=chick, clutch=before, grew=laid(egg), why="", home=box)
