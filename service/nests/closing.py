"""What stands in the way of closing a season, and what to think of first. Pure."""

from collections.abc import Iterator, Sequence

from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
)
from service.nests.nest import Nest, Pair
from service.nests.resting import still_fed


def in_the_way(nests: Sequence[Nest]) -> tuple[str, ...]:
    """Sentences on boxes with life in them: with a closed season nobody is reminded of them."""
    return tuple(sentence for nest in nests for sentence in _life_in(nest))


def to_think_of(nests: Sequence[Nest], pairs: Sequence[Pair]) -> tuple[str, ...]:
    """Sentences on youngsters that still need their parents, and on pairs that are together."""
    told = [sentence for nest in nests for sentence in _still_fed(nest)]
    standing = sum(pair.ended_on is None for pair in pairs)
    if standing:
        many = "pair is" if standing == 1 else "pairs are"
        told.append(f"{standing} {many} still together; with a box they may lay again.")
    return tuple(told)


def _life_in(nest: Nest) -> Iterator[str]:
    clutch = nest.clutch
    eggs = lying_at_home(clutch) if clutch else ()
    chicks = chicks_at_home(clutch) if clutch else ()
    guests = (*eggs_of_guests(nest), *chicks_of_guests(nest))
    if eggs or chicks or guests:
        parts = (_count(len(eggs), "egg"), _count(len(chicks), "chick"))
        told = [part for part in (*parts, _count(len(guests), "guest")) if part]
        last = f"{', '.join(told)} in the book without a fate"
        yield f"{nest.box.name}: {last}. Look in, and write what became of them."


def _still_fed(nest: Nest) -> Iterator[str]:
    out = still_fed(nest)
    if out:
        yield (
            f"{nest.box.name}: {_count(out, 'youngster')} out of the box, and not yet noted as "
            "feeding on their own."
        )


def _count(number: int, one: str) -> str:
    if not number:
        return ""
    return f"{number} {one}{'' if number == 1 else 's'}"
