"""What to do about an egg that must lie in the box and was not seen. Pure.

Hens bury eggs in deep bedding, and a buried egg is not warmed. All of it common practice, no
source.
"""

from collections.abc import Iterator, Sequence
from datetime import UTC, tzinfo

from service.nests.book_says import BookSays, upper
from service.nests.nest import BeddingLevel, Nest, NestCheck

LOOKS_UNTIL_ALL_BEDDING_IS_FELT = 3
NO_MORE = BookSays()


def advice(nest: Nest, *, zone: tzinfo = UTC, book: BookSays = NO_MORE) -> tuple[str, ...]:
    """Sentences about the eggs that the last look did not see; none where it saw them all."""
    if not nest.checks or not _unseen(nest.checks[-1]):
        return ()
    return tuple(_sentences(nest, zone, book))


def _sentences(nest: Nest, zone: tzinfo, book: BookSays) -> Iterator[str]:
    guests = {guest.egg.id: book.guest(guest) for guest in nest.guests}
    longest = 0
    for number, egg_id in _unseen(nest.checks[-1]):
        looks = _looks_in_a_row(nest.checks, (number, egg_id))
        longest = max(longest, len(looks))
        words = f"egg {number}" if number is not None else guests.get(egg_id or 0, "a guest")
        since = looks[0].at.astimezone(zone)
        yield _not_seen(words, len(looks), f"{since.day} {since:%B}")
    yield (
        "Look again at the next visit, while the hen is off. Feel gently in the bedding with "
        "clean, warm fingers, and leave the others as they lie. Do not call it lost yet."
    )
    if nest.checks[-1].bedding and nest.checks[-1].bedding.level is BeddingLevel.DEEP:
        yield "The bedding is deep: an egg may lie under it, where the hen can't warm it."
    if longest >= LOOKS_UNTIL_ALL_BEDDING_IS_FELT:
        yield (
            f"Not seen at {longest} looks in a row: feel through all of the bedding once, down to "
            "the floor. If it is not there, tell it as missing at the next look."
        )


def _not_seen(words: str, looks: int, since: str) -> str:
    if looks == 1:
        return f"{upper(words)} was not in sight."
    return f"{upper(words)} was not in sight at the last {looks} looks, since {since}."


Unseen = tuple[int | None, int | None]


def _unseen(check: NestCheck) -> tuple[Unseen, ...]:
    """Own eggs by number, guests by the id of their egg."""
    guests = [(None, seen.egg_id) for seen in check.guests if seen.not_in_sight]
    return (*((number, None) for number in sorted(check.not_in_sight)), *guests)


def _looks_in_a_row(checks: Sequence[NestCheck], which: Unseen) -> list[NestCheck]:
    """The looks up to the last that did not see it, oldest first."""
    found: list[NestCheck] = []
    for check in reversed(checks):
        if which not in _unseen(check):
            break
        found.insert(0, check)
    return found
