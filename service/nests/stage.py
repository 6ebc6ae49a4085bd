"""How far a nest is, and its counts. Pure."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from service.nests.fertility import fertility
from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
    reared_at_home,
)
from service.nests.hatching import hatch_span, may_hatch
from service.nests.nest import Chick, ChickFate, Clutch, Nest
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
    """Of the open or last clutch. ``eggs`` and ``hatched`` count all, wherever they are;
    ``chicks`` those in the box, guests among them. ``fertile`` is None until it is known of an
    egg. ``first_egg`` is the first look that saw one.
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
    if _leaving(nest, now, species):
        return Stage.LEAVING
    if clutch is None or clutch.closed_at is not None or not clutch.eggs:
        return _without_own(nest)
    if clutch.chicks:
        return Stage.HATCHING if _more_may_hatch(nest, clutch, now, species) else Stage.REARING
    return Stage.SITTING if laying_is_over(nest, species) else Stage.LAYING


def counts(nest: Nest) -> Counts:
    """Eggs and chicks in numbers; all zero without a clutch."""
    clutch = nest.clutch
    guests = len(chicks_of_guests(nest))
    if clutch is None or not clutch.eggs:
        return Counts(chicks=guests)
    known = [told for egg in clutch.eggs if (told := fertility(egg)) is not None]
    return Counts(
        eggs=len(clutch.eggs),
        fertile=sum(known) if known else None,
        hatched=len(clutch.chicks),
        chicks=len(chicks_at_home(clutch)) + guests,
        first_egg=clutch.eggs[0].laid_to,
    )


def _without_own(nest: Nest) -> Stage:
    """Guests keep a nest busy too."""
    if chicks_of_guests(nest):
        return Stage.REARING
    if eggs_of_guests(nest):
        return Stage.SITTING
    return Stage.EMPTY if nest.pair is None else Stage.PAIRED


def _leaving(nest: Nest, now: datetime, species: SpeciesSettings) -> bool:
    chicks = _reared_here(nest)
    if any(chick.fate is ChickFate.FLEDGED for chick in chicks):
        return True
    outings = (
        Span(since=chick.hatched_from, until=chick.hatched_to).after(species.fledge_after_hatch)
        for chick in chicks
        if chick.fate is None
    )
    return any(outing.since <= now for outing in outings)


def _reared_here(nest: Nest) -> list[Chick]:
    """Own chicks that are not in another box, and those of guests."""
    guests = [guest.chick for guest in nest.guests if guest.chick is not None]
    return [*(reared_at_home(nest.clutch) if nest.clutch else ()), *guests]


def _more_may_hatch(nest: Nest, clutch: Clutch, now: datetime, species: SpeciesSettings) -> bool:
    began = sitting(nest, species)
    return began is not None and any(
        may_hatch(egg) and hatch_span(egg, began, species).until >= now
        for egg in lying_at_home(clutch)
    )
