"""What came of a look, in the nest book's short sentences. Pure."""

from collections.abc import Iterator, Mapping

from simulated_feeds.keeper.look import Look
from simulated_feeds.keeper.open_book import Before, OpenBook, OpenClutch


def changes_of(
    look: Look,
    before: Before,
    book: OpenBook,
    clutch: OpenClutch | None,
    *,
    closed: bool,
    homes: Mapping[str, str],
) -> tuple[str, ...]:
    """``homes`` are the guests of which something is told, with the names of their boxes."""
    told: list[str] = []
    if clutch is not None and clutch.eggs:
        told += _of_own(look, before, clutch, closed=closed)
    for name, home in homes.items():
        told += _of_guest(name, home, look, book.eggs[name].row.number)
    return tuple(told)


def _of_own(look: Look, before: Before, clutch: OpenClutch, *, closed: bool) -> Iterator[str]:
    number = {egg.name: egg.row.number for egg in clutch.eggs}
    if not before.known:
        yield f"round {clutch.row.round} begins"
    yield from (f"egg {number[name]} found" for name in look.found)
    yield from (f"egg {n} not in sight" for n in _numbers(look.not_in_sight, number))
    yield from (f"egg {number[name]} candled: {w}" for name, w in look.candled if name in number)
    fates = dict(look.lost) | dict.fromkeys(look.hatched, "hatched")
    yield from (
        f"egg {number[name]} {fates[name]}"
        for name in sorted(fates, key=lambda name: number.get(name, 0))
        if name in number
    )
    yield from (f"chick {number[name]} ringed {w}" for name, w in look.ringed if name in number)
    yield from (f"chick {number[name]} {w}" for name, w in look.gone if name in number)
    if look.hen == "sitting" and not before.sat:
        yield "the hen sits"
    if look.hide_in and not before.hide_in:
        yield "somewhere to hide is in"
    if closed:
        yield f"round {clutch.row.round} is over"


def _numbers(names: tuple[str, ...], number: Mapping[str, int]) -> list[int]:
    return sorted(number[name] for name in names if name in number)


def _of_guest(name: str, home: str, look: Look, number: int) -> Iterator[str]:
    egg, chick = f"egg {number} of {home}", f"chick {number} of {home}"
    if name in look.not_in_sight:
        yield f"{egg} not in sight"
    yield from (f"{egg} candled: {word}" for one, word in look.candled if one == name)
    yield from (f"{egg} {word}" for one, word in look.lost if one == name)
    if name in look.hatched:
        yield f"{egg} hatched"
    yield from (f"{chick} ringed {word}" for one, word in look.ringed if one == name)
    yield from (f"{chick} {word}" for one, word in look.gone if one == name)
