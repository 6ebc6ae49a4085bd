"""Which ring comes next, where rings are used up in the order of their numbers. Pure."""

import re
from collections.abc import Collection, Iterable
from datetime import UTC, datetime

from service.nests.nest import Chick

_NUMBER_AT_THE_END = re.compile(r"\A(.*?)([0-9]+)\Z", re.DOTALL)
_EARLIEST = datetime.min.replace(tzinfo=UTC)


def last_ring(chicks: Iterable[Chick]) -> str | None:
    """The ring that was put on last, by the looks; None where none was."""
    ringed = [chick for chick in chicks if chick.ring]
    newest = max(ringed, key=lambda chick: (chick.ringed_at or _EARLIEST, chick.ring), default=None)
    return newest.ring if newest else None


def rings_after(last: str | None, how_many: int, worn: Collection[str] = ()) -> tuple[str, ...]:
    """The next ``how_many``: the number at the end goes on, as wide as it was.

    Those in ``worn`` are passed over. Empty where there is no last one, or no number at its end:
    what stands on a ring is free text, and nothing is guessed.
    """
    parts = _NUMBER_AT_THE_END.match(last or "")
    if parts is None:
        return ()
    head, number = parts[1], parts[2]
    taken = {ring.casefold() for ring in worn}
    found: list[str] = []
    value = int(number)
    while len(found) < how_many:
        value += 1
        ring = f"{head}{value:0{len(number)}d}"
        if ring.casefold() not in taken:
            found.append(ring)
    return tuple(found)
