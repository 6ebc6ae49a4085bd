"""Birds whose parents can't be, and rings on two birds. Pure."""

from collections.abc import Iterator, Mapping

from service.book.errors import Fault
from service.book.located import Located, LocatedBook
from service.nests.book_rows import BirdRow, ChickRow
from service.nests.nest import Sex

_NOT_A = {"sire": Sex.HEN, "dam": Sex.COCK}


def faulty_birds(book: LocatedBook) -> Iterator[Fault]:
    """Hens for sires, parents younger than their young, birds among their own ancestors."""
    birds = {one.row.bird: one.row for one in book.of(BirdRow)}
    doubtful = _perhaps_in_a_loop(birds)
    for one in book.of(BirdRow):
        for column, wrong in _NOT_A.items():
            parent = birds.get(getattr(one.row, column) or 0)
            if parent is not None:
                yield from _faulty_parent(one, column, parent, wrong)
        if one.row.bird in doubtful and _is_own_ancestor(one.row, doubtful):
            yield one.fault("sire", f"bird {one.row.bird} is among its own ancestors")
    yield from _rings(book)


def _faulty_parent(
    one: Located[BirdRow], column: str, parent: BirdRow, wrong: Sex
) -> Iterator[Fault]:
    if parent.sex is wrong:
        yield one.fault(column, f"bird {parent.bird} is a {wrong}, which can't be a {column}")
    born = one.row.hatched_on
    if born is not None and parent.hatched_on is not None and parent.hatched_on >= born:
        words = f"bird {parent.bird} hatched on {parent.hatched_on}, not before its young ({born})"
        yield one.fault(column, words)


def _perhaps_in_a_loop(birds: Mapping[int, BirdRow]) -> Mapping[int, BirdRow]:
    """Who is left once birds without parents, and birds without young, are taken away again and
    again: none of a sound book, so that a long pedigree is walked once and not for every bird.
    """
    parents = {
        number: {one for one in (bird.sire, bird.dam) if one is not None and one in birds}
        for number, bird in birds.items()
    }
    young: dict[int, set[int]] = {number: set() for number in birds}
    for number, found in parents.items():
        for parent in found:
            young[parent].add(number)
    left = set(birds)
    for up, down in ((parents, young), (young, parents)):
        ends = [number for number in left if not up[number]]
        while ends:
            number = ends.pop()
            left.discard(number)
            for one in down[number]:
                up[one].discard(number)
                if not up[one] and one in left:
                    ends.append(one)
    return {number: birds[number] for number in left}


def _is_own_ancestor(bird: BirdRow, birds: Mapping[int, BirdRow]) -> bool:
    seen: set[int] = set()
    waiting = [bird.sire, bird.dam]
    while waiting:
        number = waiting.pop()
        if number == bird.bird:
            return True
        if number is not None and number not in seen and number in birds:
            seen.add(number)
            waiting += [birds[number].sire, birds[number].dam]
    return False


def _rings(book: LocatedBook) -> Iterator[Fault]:
    """A ring is on one bird: the chick's own, once it is a bird of the book."""
    wearers = {one.row.ring: one for one in book.of(BirdRow) if one.row.ring is not None}
    for chick in book.of(ChickRow):
        wearer = wearers.get(chick.row.ring or "")
        if wearer is not None and chick.row.bird not in (None, wearer.row.bird):
            words = f"ring {chick.row.ring} is on bird {wearer.row.bird}, and this is another"
            yield chick.fault("ring", words)
