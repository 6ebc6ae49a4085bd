"""The keeper's book as it is told check by check, with the places it speaks of."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from simulated_feeds.keeper.rows import Book
from simulated_feeds.keeper.values import NestCheck


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """``kind`` is shed, flight, cage, box or outdoors; ``order`` is the walking order."""

    id: str
    kind: str
    name: str
    within: str | None
    order: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryBird:
    """``id`` is the book's number; ``sex`` is cock or hen."""

    id: int
    sex: str
    ring: str | None
    variety: str | None
    hatched_on: date | None
    name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryPair:
    """Two birds, by their numbers, put up in a cage."""

    cage: str
    cock_id: int
    hen_id: int
    put_up_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """All that the keeper wrote down; checks in time order."""

    places: tuple[Place, ...]
    birds: tuple[StoryBird, ...]
    pairs: tuple[StoryPair, ...]
    checks: tuple[NestCheck, ...]


def places_of(boxes: int, shed_name: str = "Hazel shed") -> tuple[Place, ...]:
    """Shed, outdoors, a flight, cages and their boxes, in walking order."""
    cages = []
    for n in range(1, boxes + 1):
        cages += [
            Place(id=f"cage-{n}", kind="cage", name=f"Cage {n}", within="shed", order=10 * n),
            Place(id=f"box-{n}", kind="box", name=f"Box {n}", within=f"cage-{n}", order=10 * n + 1),
        ]
    return (
        Place(id="shed", kind="shed", name=shed_name, within=None, order=1),
        Place(id="outdoors", kind="outdoors", name="Outdoors", within=None, order=2),
        Place(id="flight", kind="flight", name="Flight", within="shed", order=3),
        *cages,
    )


def story_of(book: Book, places: Sequence[Place]) -> Story:
    """What the keeper types in, pairs first."""
    return Story(
        places=tuple(places),
        birds=tuple(
            StoryBird(
                id=bird.bird,
                sex=bird.sex,
                ring=bird.ring,
                variety=bird.variety,
                hatched_on=bird.hatched_on,
                name=bird.name,
            )
            for bird in book.birds
        ),
        pairs=tuple(
            StoryPair(cage=pair.cage, cock_id=pair.cock, hen_id=pair.hen, put_up_on=pair.put_up_on)
            for pair in book.pairs
        ),
        checks=tuple(row.told for row in book.checks),
    )
