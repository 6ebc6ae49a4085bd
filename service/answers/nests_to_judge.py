"""The nest book as the rules on it ask for it, read from the stores at one go."""

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from typing import Protocol

from service.nests.nest import Nest
from service.nests.place import Place
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing
from service.rules.nest_rules.backup_old import BackupKnown
from service.rules.nest_rules.of_shed import ShedBook
from service.store.duty_store import DutyStore
from service.store.reading_store import ReadingStore

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FOR_EVER = datetime(9999, 1, 1, tzinfo=UTC)


class JudgedBook(Protocol):
    """What is asked of the nest book."""

    def nests(self) -> Sequence[Nest]: ...
    def places(self) -> Sequence[Place]: ...
    def species(self) -> SpeciesSettings: ...
    def weighings_of(self, clutch_id: int) -> Sequence[Weighing]: ...


def shed_book(
    book: JudgedBook, duties: DutyStore, backup: Callable[[], BackupKnown] | None
) -> ShedBook:
    """Everything as the book tells it now; ``backup`` is None where nobody looks after backups.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    nests = tuple(book.nests())
    return ShedBook(
        nests=nests,
        places=tuple(book.places()),
        species=book.species(),
        weighings=_weighings(book, nests),
        duties=tuple(duties.duties()),
        done=tuple(duties.last_done()),
        times=duties.visit_times(),
        backup=None if backup is None else backup(),
    )


def records_since(readings: ReadingStore) -> datetime | None:
    """Since when there are readings; None where there is none.

    Raises:
        StoreUnavailableError: they can't be read now.
    """
    firsts = (readings.first(one.id, _EPOCH, _FOR_EVER) for one in readings.series())
    return min((at for at in firsts if at is not None), default=None)


def _weighings(book: JudgedBook, nests: Iterable[Nest]) -> dict[int, list[Weighing]]:
    """Of all that may be chicks in a box, by their eggs."""
    clutches = {one.clutch.id for nest in nests for one in nest.guests if one.chick is not None}
    clutches |= {nest.clutch.id for nest in nests if nest.clutch is not None and nest.clutch.chicks}
    found: dict[int, list[Weighing]] = {}
    for clutch in sorted(clutches):
        for told in book.weighings_of(clutch):
            if told.egg_id is not None:
                found.setdefault(told.egg_id, []).append(told)
    return found
