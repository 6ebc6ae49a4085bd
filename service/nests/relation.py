"""What two birds are to one another, in the words that families use. Pure.

The nearest kinship names them; where they are kin in further ways too, that is said. Only what
the book knows counts: birds with unknown parents may be kin without anybody knowing.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from service.nests.kinship import STRANGER, Kinship, Parents


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """``words`` is None where no common forebear stands in the book.

    ``shared`` are the nearest common forebears by id; ``further`` says that there are other
    ways in which the two are kin. ``coancestry`` is F of the chicks they would have, 0 to 1.
    """

    words: str | None
    shared: tuple[int, ...]
    coancestry: float
    further: bool = False


def relation(cock: int, hen: int, parents: Mapping[int, Parents], kinship: Kinship) -> Relation:
    """What a cock is to a hen."""
    above_cock, above_hen = _above(cock, parents), _above(hen, parents)
    common = above_cock.keys() & above_hen.keys()
    closeness = kinship.of_pair(cock, hen)
    if not common:
        return Relation(words=None, shared=(), coancestry=closeness)
    near = min((above_cock[one] + above_hen[one], above_cock[one]) for one in common)
    steps = near[1], near[0] - near[1]
    shared = tuple(sorted(one for one in common if (above_cock[one], above_hen[one]) == steps))
    return Relation(
        words=_words(steps, len(shared)),
        shared=shared,
        coancestry=closeness,
        further=closeness > len(shared) * 0.5 ** (near[0] + 1),
    )


def _above(bird: int, parents: Mapping[int, Parents]) -> dict[int, int]:
    """The bird and its forebears, each with the fewest steps up to it."""
    steps = {bird: 0}
    row = [bird]
    while row:
        above = []
        for one in row:
            for parent in parents.get(one, STRANGER):
                if parent is not None and parent not in steps:
                    steps[parent] = steps[one] + 1
                    above.append(parent)
        row = above
    return steps


def _words(steps: tuple[int, int], shared: int) -> str:
    up_cock, up_hen = steps
    if up_cock == 0 or up_hen == 0:
        return _in_line(up_cock, up_hen)
    half = "" if shared > 1 else "half "
    if steps == (1, 1):
        return f"{half or 'full '}brother and sister"
    if min(steps) == 1:
        return half + _aside(up_cock, up_hen)
    return _cousins(up_cock, up_hen, shared, half)


def _in_line(up_cock: int, up_hen: int) -> str:
    far = max(up_cock, up_hen)
    great = "great-" * (far - 2) + ("grand" if far > 1 else "")
    young = "grand" if far > 1 else ""
    young = "great-" * (far - 2) + young
    if up_cock == 0:
        return f"{great}father and {young}daughter"
    return f"{great}mother and {young}son"


def _aside(up_cock: int, up_hen: int) -> str:
    """Brothers and sisters of a parent, of a grandparent, ..."""
    great = "great-" * (max(up_cock, up_hen) - 2)
    return f"{great}uncle and {great}niece" if up_cock == 1 else f"{great}aunt and {great}nephew"


_ORDER = ("first", "second", "third", "fourth", "fifth")


def _cousins(up_cock: int, up_hen: int, shared: int, half: str) -> str:
    degree = min(up_cock, up_hen) - 1
    order = _ORDER[degree - 1] if degree <= len(_ORDER) else f"{degree}th"
    apart = abs(up_cock - up_hen)
    double = "double " if (degree, apart, shared) == (1, 0, 4) else half
    words = f"{double}{order} cousins"
    if apart:
        words += ", a generation apart" if apart == 1 else f", {apart} generations apart"
    return words
