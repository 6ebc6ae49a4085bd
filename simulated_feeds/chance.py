"""Chance that can be looked up: a stream of draws for each seed, name and day.

Every part draws from a stream of its own for each day, so that no part's draws depend on how
many another one made, and any day can be drawn alone.

Source: Salmon, J. K., Moraes, M. A., Dror, R. O. and Shaw, D. E. (2011), Parallel random
numbers: as easy as 1, 2, 3, SC11 (Philox, a generator keyed by numbers; from memory), as numpy
has it; the words of seed, name and day are mixed into its key by numpy's SeedSequence.
"""

from datetime import UTC, datetime
from zlib import crc32

from numpy.random import Generator, Philox, SeedSequence

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def draws(seed: int, name: str, at: datetime | None = None) -> Generator:
    """The stream of a name, the same in every process.

    Args:
        seed: of the scenario, not negative.
        name: of what is drawn, such as ``"scale-1 noise"``.
        at: the beginning of the day [UTC]; None for what is drawn once for all days.
    """
    day = () if at is None else ((at - _EPOCH).days + 1,)
    return Generator(Philox(SeedSequence((seed, crc32(name.encode()), *day))))
