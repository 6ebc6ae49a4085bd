"""What the whole box needs: a place to hide, and to be taken off. Pure."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from service.nests.due import Due, DueKind
from service.nests.hatching import may_hatch
from service.nests.reckoning import OUT, Reckoning, after
from service.nests.residents import Resident
from service.nests.sitting import hatched, laying_is_over
from service.nests.span import Span, days_in_words


def dues_of_box(reckoning: Reckoning) -> Iterator[Due]:
    """All that one box needs once, whoever is in it."""
    if reckoning.nest.off_since is None:
        yield from _hide_in(reckoning)
        yield from _box_off(reckoning)


def _hide_in(reckoning: Reckoning) -> Iterator[Due]:
    """Before the first outing that can be expected, of a chick or of an egg to hatch."""
    clutch = reckoning.nest.clutch
    if clutch is not None and clutch.hide_in_at is not None:
        return
    if any(one.chick is not None and one.chick.fate in OUT for one in reckoning.residents):
        return
    outings = [(span.since, one) for one, span in _outings(reckoning)]
    if not outings:
        return
    out, first = min(outings, key=lambda outing: outing[0])
    before = reckoning.species.hide_before_fledge
    span = Span(since=out - timedelta(days=before.most), until=out - timedelta(days=before.least))
    why = (
        f"{first.words('chick')} may come out from {reckoning.days(Span(since=out, until=out))} "
        f"on; a place to hide goes in {days_in_words(before)} before"
    )
    yield reckoning.due(DueKind.HIDE_IN, span, why)


def _box_off(reckoning: Reckoning) -> Iterator[Due]:
    """Once nobody needs it. The keeper may want another round: it is never told as late."""
    nest, species = reckoning.nest, reckoning.species
    if not reckoning.residents or not laying_is_over(nest, species):
        return
    outings = [span for _, span in _outings(reckoning)]
    if outings:
        out = Span(
            since=max(span.since for span in outings), until=max(span.until for span in outings)
        )
        told = f"the last should be out {reckoning.days(out)}"
    else:
        left = _last_left(reckoning)
        if left is None:
            return
        out = Span(since=left, until=left)
        told = f"the last was there on {reckoning.days(out)}"
    usual = species.box_off_after_last_out
    span = out.after(usual)
    if span.until >= reckoning.now:
        why = f"{told}; the box comes off {after(usual)}, unless they go on to another round"
        yield reckoning.due(DueKind.BOX_OFF, span, why)


def _outings(reckoning: Reckoning) -> Iterator[tuple[Resident, Span]]:
    """When each that is in the box, or may yet hatch in it, comes out."""
    usual = reckoning.species.fledge_after_hatch
    for one, chick in reckoning.in_box():
        yield one, hatched(chick).after(usual)
    for one in reckoning.still_to_hatch():
        yield one, reckoning.hatch(one).after(usual)


def _last_left(reckoning: Reckoning) -> datetime | None:
    """When the last chick left or egg was lost; None while an egg still lies there."""
    ends: list[datetime | None] = []
    for one in reckoning.residents:
        if may_hatch(one.egg):
            return None
        ends.append(one.chick.fate_at if one.chick is not None else one.egg.fate_to)
    return max((end for end in ends if end is not None), default=None)
