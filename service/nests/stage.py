"""How far a nest is, and its counts. Pure."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from service.nests.guests import chicks_of_guests, eggs_of_guests
from service.nests.hatching import hatch_span, may_hatch
from service.nests.nest import Candling, ChickFate, Clutch, EggFate, Nest
from service.nests.sitting import laying_is_over, sitting
from service.nests.span import Span
from service.nests.species import SpeciesSettings


class Stage(StrEnum):
    """What the nest is busy with."""

    EMPTY = "empty"
    PAIRED = "paired up"
    LAYING = "laying"
    SITTING = "sitting"
    HATCHING = "hatching"
    REARING = "rearing"
    LEAVING = "leaving the box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Of the open or last clutch. ``eggs`` and ``hatched`` count all, ``chicks`` those in
    the box. ``fertile`` is None until a light has gone through an egg or one has hatched.
    ``first_egg`` is the first look that saw one.
    """

    eggs: int = 0
    fertile: int | None = None
    hatched: int = 0
    chicks: int = 0
    first_egg: datetime | None = None


def stage(nest: Nest, now: datetime, species: SpeciesSettings | None = None) -> Stage:
    """What the nest is busy with at ``now``; the species' defaults unless told otherwise."""
    species = species or SpeciesSettings()
    clutch = nest.clutch
    if clutch is not None and _leaving(clutch, now, species):
        return Stage.LEAVING
    if clutch is None or clutch.closed_at is not None or not clutch.eggs:
        return _without_own(nest)
    if clutch.chicks:
        return Stage.HATCHING if _more_may_hatch(nest, clutch, now, species) else Stage.REARING
    return Stage.SITTING if laying_is_over(nest, species) else Stage.LAYING


def counts(nest: Nest) -> Counts:
    """Eggs and chicks in numbers; all zero without a clutch."""
    clutch = nest.clutch
    if clutch is None or not clutch.eggs:
        return Counts()
    known = [egg for egg in clutch.eggs if egg.candling or egg.fate in _SHOWN_FERTILE]
    fertile = [
        egg for egg in known if egg.candling is Candling.FERTILE or egg.fate in _SHOWN_FERTILE
    ]
    return Counts(
        eggs=len(clutch.eggs),
        fertile=len(fertile) if known else None,
        hatched=len(clutch.chicks),
        chicks=sum(chick.fate is None for chick in clutch.chicks),
        first_egg=clutch.eggs[0].laid_to,
    )


def _without_own(nest: Nest) -> Stage:
    """Guests keep a nest busy too."""
    if chicks_of_guests(nest):
        return Stage.REARING
    if eggs_of_guests(nest):
        return Stage.SITTING
    return Stage.EMPTY if nest.pair is None else Stage.PAIRED


_SHOWN_FERTILE = (EggFate.HATCHED, EggFate.DEAD_IN_SHELL)


def _leaving(clutch: Clutch, now: datetime, species: SpeciesSettings) -> bool:
    if any(chick.fate is ChickFate.FLEDGED for chick in clutch.chicks):
        return True
    outings = (
        Span(since=chick.hatched_from, until=chick.hatched_to).after(species.fledge_after_hatch)
        for chick in clutch.chicks
        if chick.fate is None
    )
    return any(outing.since <= now for outing in outings)


def _more_may_hatch(nest: Nest, clutch: Clutch, now: datetime, species: SpeciesSettings) -> bool:
    began = sitting(nest, species)
    return began is not None and any(
        may_hatch(egg) and hatch_span(egg, began, species).until >= now for egg in clutch.eggs
    )
