"""What a payload came to."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from devices.reading import Measurement


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """The measurements of one message, and what in it could not be read.

    ``faults`` are sentences, one for each record that was refused: a bad record never costs
    its neighbours. ``devices`` are the senders that spoke in words that were understood,
    also where these were no measurement (a sequence number, a label): their signs of life.
    ``senders`` are those that the message is from, also where nothing of theirs could be read.

    ``boots`` names for each device the run that it is in since it was switched on, ``seqs``
    the running number of its message in that run, where it tells them.
    """

    measurements: tuple[Measurement, ...] = ()
    faults: tuple[str, ...] = ()
    devices: frozenset[str] = frozenset()
    senders: frozenset[str] = frozenset()
    boots: Mapping[str, str] = field(default_factory=dict)
    seqs: Mapping[str, int] = field(default_factory=dict)
