"""What is left of the pair before, when another is put up; within the caller's transaction."""

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import Connection, select

from service.errors import InputError
from service.nests.guests import chicks_at_home, lying_at_home
from service.nests.nest import Clutch
from service.store.sql_clutch_reading import read_clutches
from service.store.sql_nest_reading import read_nests
from service.store.sql_rows import update_row
from service.store.sql_tables import CLUTCHES, PLACES


def end_clutches_in(connection: Connection, cage: str) -> None:
    """End the open clutches in a cage's boxes: eggs found from now on are the next pair's.

    Raises:
        InputError: eggs or chicks of the pair before are still there; nobody could tell theirs
            from those of the next pair.
    """
    boxes = connection.execute(select(PLACES.c.id, PLACES.c.name).where(PLACES.c.within == cage))
    names = {row.id: row.name for row in boxes}
    # A round that was closed for the next one may have young in the box all the same.
    living = [guest.clutch.id for box in names for guest in read_nests(connection, box)[0].guests]
    going_on = CLUTCHES.c.closed_at.is_(None) | CLUTCHES.c.id.in_(living)
    for clutch in read_clutches(connection, CLUTCHES.c.box.in_(names), going_on):
        left = list(_left(clutch))
        if left:
            raise InputError(
                f"{' and '.join(left)} of the pair before still {_verb(clutch)} in "
                f"{names[clutch.box]}. Tell at a look what became of them, or move them into "
                "another box, and then put up the next pair."
            )
        if clutch.eggs and clutch.closed_at is None:
            update_row(connection, CLUTCHES, clutch.id, {"closed_at": _last_known(clutch)})


def _left(clutch: Clutch) -> Iterator[str]:
    eggs, chicks = lying_at_home(clutch), chicks_at_home(clutch)
    for number, noun in ((len(eggs), "egg"), (len(chicks), "chick")):
        if number:
            yield f"{number} {noun}{'' if number == 1 else 's'}"


def _verb(clutch: Clutch) -> str:
    return "is" if len(lying_at_home(clutch)) + len(chicks_at_home(clutch)) == 1 else "are"


def _last_known(clutch: Clutch) -> datetime:
    """When something of it was last told."""
    told = [chick.fate_at or chick.hatched_to for chick in clutch.chicks]
    for egg in clutch.eggs:
        told += [egg.laid_to, *(move.at for move in egg.moves)]
        told += [] if egg.fate_to is None else [egg.fate_to]
    return max(told)
