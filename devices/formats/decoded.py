"""What a payload came to."""

from dataclasses import dataclass

from devices.reading import Measurement


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """The measurements of one message, and what in it could not be read.

    ``faults`` are sentences, one for each record that was refused: a bad record never costs
    its neighbours. ``devices`` are the senders that spoke in words that were understood,
    also where these were no measurement (a sequence number, a label): their signs of life.
    """

    measurements: tuple[Measurement, ...] = ()
    faults: tuple[str, ...] = ()
    devices: frozenset[str] = frozenset()
