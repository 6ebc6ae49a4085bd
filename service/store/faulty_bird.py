"""What is told of a bird can't be."""

from collections.abc import Sequence

from service.errors import InputError


class FaultyBirdError(InputError):
    """Each contradiction is a sentence of its own in ``faults``."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__(" ".join(faults))
        self.faults = tuple(faults)
