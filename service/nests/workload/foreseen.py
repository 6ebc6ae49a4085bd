"""What the nests will need of a person: what the book lets expect, and what a usual round adds.

Pure. The due dates tell of what is laid; eggs still to be laid, and whole rounds to come, follow
from the species' days and the usual round.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.nests.due import Due, DueKind
from service.nests.nest import Nest
from service.nests.sitting import laid, laying_is_over
from service.nests.span import Span
from service.nests.species import DaySpan, SpeciesSettings
from service.nests.workload.usual_round import UsualRound


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """Within ``span`` (UTC) ``kind`` falls due in ``box``, with the chance ``chance``.

    ``laid`` says that the egg it follows from is there already, or that every usual clutch has
    one of that number; what follows from another may never be.
    """

    kind: DueKind
    box: str
    span: Span
    chance: float = 1.0
    laid: bool = True


_IF_IT_HATCHES = (
    DueKind.HATCH,
    DueKind.RING,
    DueKind.FLEDGE,
    DueKind.INDEPENDENT,
    DueKind.SPLIT,
)
_OF_A_CHICK = _IF_IT_HATCHES[1:]


def foreseen_in(
    nest: Nest, dues: Sequence[Due], species: SpeciesSettings, usual: UsualRound
) -> tuple[Foreseen, ...]:
    """Of one nest by its due dates, and of the eggs that its hen is still to lay."""
    hatched = _hatched(nest)
    told = [_of_due(due, hatched, usual) for due in dues]
    clutch = nest.clutch
    if clutch is None or not clutch.eggs or laying_is_over(nest, species):
        return tuple(told)
    count = len(clutch.eggs)
    # Counted back from the last egg, so that those to come keep the step from the last one.
    first = laid(clutch.eggs[-1])
    for number in range(count + 1, usual.eggs.most + 1):
        chance = usual.has_egg(number, count)
        span = _egg(first, number - count, species)
        told += _of_egg(
            nest.box.id, span.after(species.hatch_after_sitting), species, chance, usual
        )
    return tuple(told)


def foreseen_of_round(
    box: str, first_egg: Span, species: SpeciesSettings, usual: UsualRound
) -> tuple[Foreseen, ...]:
    """All of a round of which the first egg is to come within ``first_egg``."""
    began = Span(
        since=_egg(first_egg, species.eggs_before_sitting.least - 1, species).since,
        until=_egg(first_egg, species.eggs_before_sitting.most - 1, species).until,
    )
    told = [
        Foreseen(kind=DueKind.CANDLE, box=box, span=began.after(species.candle_after_sitting)),
        *_end_of_laying(box, first_egg, species, usual),
    ]
    for number in range(1, usual.eggs.most + 1):
        grew = _egg(first_egg, number - 1, species).or_later(began)
        born = grew.after(species.hatch_after_sitting)
        told += _of_egg(box, born, species, usual.has_egg(number), usual)
    return (*told, *_of_box(box, told, species))


def first_of(foreseen: Sequence[Foreseen], kind: DueKind) -> Span | None:
    """When the first of its kind falls due; None without one."""
    spans = [one.span for one in foreseen if one.kind is kind]
    if not spans:
        return None
    return Span(since=min(one.since for one in spans), until=min(one.until for one in spans))


def last_of(foreseen: Sequence[Foreseen], kind: DueKind) -> Span | None:
    """When the last falls due: at the earliest the last of those that are sure to come."""
    spans = [one.span for one in foreseen if one.kind is kind]
    sure = [one.span for one in foreseen if one.kind is kind and one.laid] or spans
    if not spans:
        return None
    return Span(since=max(one.since for one in sure), until=max(one.until for one in spans))


def first_egg_of(nest: Nest, now: datetime, usual: UsualRound) -> Span | None:
    """When a pair without an egg should lay; None where there is none or its time is over.

    A pair that stays together after a clutch tells no day from which to count.
    """
    if nest.pair is None or nest.clutch is not None or nest.off_since is not None:
        return None
    put_up = datetime.combine(nest.pair.put_up_on, datetime.min.time(), now.tzinfo)
    span = Span(since=put_up, until=put_up).after(usual.first_egg_after_pairing)
    if span.until <= now:
        return None
    return Span(since=max(span.since, now), until=span.until)


def _of_due(due: Due, hatched: frozenset[int], usual: UsualRound) -> Foreseen:
    open_egg = due.egg_id is not None and due.egg_id not in hatched
    chance = usual.hatching if due.kind in _IF_IT_HATCHES and open_egg else 1.0
    span = Span(since=due.since, until=due.until)
    return Foreseen(kind=due.kind, box=due.box, span=span, chance=chance)


def _hatched(nest: Nest) -> frozenset[int]:
    """The eggs of which there is a chick already."""
    found = {guest.egg.id for guest in nest.guests if guest.chick is not None}
    for clutch in (nest.clutch, nest.before):
        if clutch is not None:
            found |= {clutch.eggs[chick.egg_number - 1].id for chick in clutch.chicks}
    return frozenset(found)


def _of_egg(
    box: str, born: Span, species: SpeciesSettings, laid_with: float, usual: UsualRound
) -> Iterator[Foreseen]:
    """What follows from an egg still to be laid, which comes with the chance ``laid_with``."""
    if laid_with == 0:
        return
    chance, sure = laid_with * usual.hatching, laid_with == 1
    yield Foreseen(kind=DueKind.HATCH, box=box, span=born, chance=chance, laid=sure)
    days = {
        DueKind.RING: species.ring_after_hatch,
        DueKind.FLEDGE: species.fledge_after_hatch,
        DueKind.INDEPENDENT: species.independent_after_hatch,
        DueKind.SPLIT: species.split_after_hatch,
    }
    for kind in _OF_A_CHICK:
        yield Foreseen(kind=kind, box=box, span=born.after(days[kind]), chance=chance, laid=sure)


def _end_of_laying(
    box: str, first_egg: Span, species: SpeciesSettings, usual: UsualRound
) -> Iterator[Foreseen]:
    last = Span(
        since=_egg(first_egg, usual.eggs.least - 1, species).since,
        until=_egg(first_egg, usual.eggs.most - 1, species).until,
    )
    over = last.after(species.complete_after_last_egg)
    yield Foreseen(kind=DueKind.CLUTCH_COMPLETE, box=box, span=over)


def _of_box(box: str, told: Sequence[Foreseen], species: SpeciesSettings) -> Iterator[Foreseen]:
    first, last = first_of(told, DueKind.FLEDGE), last_of(told, DueKind.FLEDGE)
    if first is None or last is None:
        return
    before = species.hide_before_fledge
    hide = Span(
        since=first.since - timedelta(days=before.most),
        until=first.until - timedelta(days=before.least),
    )
    yield Foreseen(kind=DueKind.HIDE_IN, box=box, span=hide)
    off = last.after(species.box_off_after_last_out)
    yield Foreseen(kind=DueKind.BOX_OFF, box=box, span=off)


def _egg(first_egg: Span, after: int, species: SpeciesSettings) -> Span:
    """When the egg is laid that has ``after`` others between it and the first."""
    step = species.next_egg_after_egg
    return first_egg.after(DaySpan(least=step.least * after, most=step.most * after))
