"""How close kin birds are: coefficients of inbreeding and of coancestry. Pure.

``F`` is Wright's coefficient of inbreeding: his sum over all paths that lead from one parent up
to a forebear A and down to the other, ``F = sum of (1/2)^(n1 + n2 + 1) (1 + F_A)``. The sum is
gathered step by step: the coancestry of two birds is the mean of that of the one with both
parents of the other, where the other is the one that is no forebear of the first; both ways of
adding up give the same number, and the steps never walk a path twice.

A parent that the book does not know counts as a stranger, so every number is the least that it
can be; ``known_forebears`` says how much is known.

Source: Wright, S. (1922), Coefficients of inbreeding and relationship, American Naturalist 56,
330-338. Coancestry: Malecot, G. (1948), Les mathematiques de l'heredite (from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.errors import InputError
from service.nests.nest import Bird

Parents = tuple[int | None, int | None]
"""Sire and dam by id; None where the book does not know."""

STRANGER: Parents = (None, None)


class PedigreeLoopError(InputError):
    """A bird would be a forebear of its own. ``birds`` are the loop, the first one again last."""

    def __init__(self, birds: Sequence[int]) -> None:
        links = ", ".join(f"bird {young} is out of bird {old}" for young, old in pairwise(birds))
        super().__init__(f"bird {birds[0]} would be its own forebear: {links}")
        self.birds = tuple(birds)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownForebears:
    """Of ``of`` forebears in one generation so many stand in the book."""

    known: int
    of: int

    @property
    def all(self) -> bool:
        """Whether none is missing."""
        return self.known == self.of


def parents_of(birds: Iterable[Bird]) -> dict[int, Parents]:
    """Sire and dam of every bird."""
    return {bird.id: (bird.sire_id, bird.dam_id) for bird in birds}


class Kinship:
    """Asks one pedigree again and again; what was reckoned once is kept."""

    def __init__(self, parents: Mapping[int, Parents]) -> None:
        """Take the parents of every bird; a bird that is not in it has no known parents.

        Raises:
            PedigreeLoopError: a bird is a forebear of its own.
        """
        self._parents = parents
        self._depth = depths(parents)
        self._known: dict[tuple[int, int], float] = {}

    def parents(self, bird: int) -> Parents:
        """Sire and dam."""
        return self._parents.get(bird, STRANGER)

    def inbreeding(self, bird: int) -> float:
        """F of a bird, 0 to less than 1; 0 where a parent is not known."""
        return self.of_pair(*self.parents(bird))

    def of_pair(self, cock: int | None, hen: int | None) -> float:
        """F of the chicks of two birds (their coancestry), 0 to 1; 0 where one is not known."""
        if cock is None or hen is None:
            return 0.0
        asked = [(cock, hen)]
        while asked:
            needed = self._needed(*asked[-1])
            if needed:
                asked += needed
            else:
                self._reckon(*asked.pop())
        return self._known[_ordered(cock, hen)]

    def _split(self, one: int, other: int) -> tuple[int, int]:
        """The one that is kept, and the one whose parents are asked: never a forebear of it."""
        if self._depth.get(one, 0) > self._depth.get(other, 0):
            return other, one
        return one, other

    def _steps(self, one: int, other: int) -> list[tuple[int, int]]:
        """The pairs whose coancestries that of these two is made from."""
        if one == other:
            sire, dam = self.parents(one)
            return [] if sire is None or dam is None else [(sire, dam)]
        kept, split = self._split(one, other)
        return [(kept, parent) for parent in self.parents(split) if parent is not None]

    def _needed(self, one: int, other: int) -> list[tuple[int, int]]:
        return [pair for pair in self._steps(one, other) if _ordered(*pair) not in self._known]

    def _reckon(self, one: int, other: int) -> None:
        whole = sum(self._known[_ordered(*pair)] for pair in self._steps(one, other))
        self._known[_ordered(one, other)] = (1 + whole) / 2 if one == other else whole / 2


def known_forebears(
    parents: Mapping[int, Parents], sire: int | None, dam: int | None, generations: int = 3
) -> tuple[KnownForebears, ...]:
    """How many parents, grandparents, ... of a chick of these two stand in the book.

    A forebear that stands in two places of the pedigree counts in both.
    """
    told = []
    row: list[int | None] = [sire, dam]
    for _ in range(generations):
        told.append(KnownForebears(known=sum(one is not None for one in row), of=len(row)))
        row = [
            parent
            for one in row
            for parent in (STRANGER if one is None else parents.get(one, STRANGER))
        ]
    return tuple(told)


def depths(parents: Mapping[int, Parents]) -> dict[int, int]:
    """Of every bird the longest way up to a forebear without known parents, in generations.

    Raises:
        PedigreeLoopError: a bird is a forebear of its own.
    """
    depth: dict[int, int] = {}
    for bird in parents:
        _measure(bird, parents, depth)
    return depth


def _measure(bird: int, parents: Mapping[int, Parents], depth: dict[int, int]) -> None:
    # By hand instead of by recursion: a book that was imported may go back a thousand birds.
    way = [bird] if bird not in depth else []
    on_it = set(way)
    while way:
        up = [one for one in parents.get(way[-1], STRANGER) if one is not None]
        waiting = next((one for one in up if one not in depth), None)
        if waiting is None:
            on_it.discard(way[-1])
            depth[way.pop()] = 1 + max((depth[one] for one in up), default=-1)
        elif waiting in on_it:
            raise PedigreeLoopError([*way[way.index(waiting) :], waiting])
        else:
            way.append(waiting)
            on_it.add(waiting)


def _ordered(one: int, other: int) -> tuple[int, int]:
    return (one, other) if one <= other else (other, one)
