"""A look that found all as the book has it: told in one tap, and taken back in one. Pure."""

from datetime import datetime
from uuid import UUID

from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
)
from service.nests.nest import HenSeen, Nest, NestCheck


def lies_there(nest: Nest) -> tuple[int, int]:
    """Eggs and chicks that the book says are in the box, guests among them."""
    clutch = nest.clutch if nest.clutch and nest.clutch.closed_at is None else None
    eggs = len(lying_at_home(clutch)) if clutch else 0
    chicks = len(chicks_at_home(clutch)) if clutch else 0
    return eggs + len(eggs_of_guests(nest)), chicks + len(chicks_of_guests(nest))


def plain_look(nest: Nest, form_id: UUID, at: datetime, *, by: str | None) -> NestCheck:
    """All that the book says lies there lies there. Of the hen nothing was told."""
    eggs, chicks = lies_there(nest)
    return NestCheck(form_id=form_id, box=nest.box.id, at=at, eggs=eggs, chicks=chicks, by=by)


def is_plain(check: NestCheck) -> bool:
    """Whether a look tells no more than counts."""
    told = (
        check.hatched,
        check.lost,
        check.candled,
        check.ringed,
        check.gone,
        check.guests,
        check.not_in_sight,
        check.weighed,
        check.bedding,
        check.hide_in,
        check.note,
    )
    return check.hen is HenSeen.NOT_SEEN and not any(told)
