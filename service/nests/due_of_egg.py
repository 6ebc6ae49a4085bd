"""The next egg, the whole clutch, the candle and the hatch. Pure."""

from collections.abc import Iterator

from service.nests.due import Due, DueKind
from service.nests.reckoning import Reckoning, after
from service.nests.sitting import laid, laying_is_over


def dues_of_eggs(reckoning: Reckoning) -> Iterator[Due]:
    """All that an egg has to come until it is a chick."""
    yield from _laying(reckoning)
    yield from _candle(reckoning)
    yield from _hatch(reckoning)


def _laying(reckoning: Reckoning) -> Iterator[Due]:
    nest, species = reckoning.nest, reckoning.species
    if nest.clutch is None or nest.off_since is not None or laying_is_over(nest, species):
        return
    last = nest.clutch.eggs[-1]
    told = f"egg {last.number} was laid {reckoning.days(laid(last))}"
    usual = species.next_egg_after_egg
    yield Due(
        kind=DueKind.NEXT_EGG,
        box=nest.box.id,
        egg_number=last.number + 1,
        since=laid(last).after(usual).since,
        until=laid(last).after(usual).until,
        why=f"{told}; the next {after(usual)}",
    )
    pause = species.complete_after_last_egg
    why = f"{told}; complete {after(pause)} without another"
    yield reckoning.due(DueKind.CLUTCH_COMPLETE, laid(last).after(pause), why)


def _candle(reckoning: Reckoning) -> Iterator[Due]:
    """One due for the box: the eggs that no light has gone through and that can wait."""
    usual = reckoning.species.candle_after_sitting
    open_ = [
        one
        for one in reckoning.eggs()
        if one.egg.candling is None and reckoning.hatch(one).since > reckoning.now
    ]
    if not open_:
        return
    first = min(open_, key=lambda one: one.grew.after(usual).since)
    why = f"{first.words('egg')} is not candled yet; {first.why}, ready {after(usual)}"
    yield reckoning.due(DueKind.CANDLE, first.grew.after(usual), why)


def _hatch(reckoning: Reckoning) -> Iterator[Due]:
    for one in reckoning.eggs():
        why = f"{one.why}; hatches {after(reckoning.hatches_after(one))}"
        yield reckoning.due(DueKind.HATCH, reckoning.hatch(one), why, of=one)
