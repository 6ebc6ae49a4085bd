"""One message as it came from a broker or from a recording."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """Bytes under a topic, and when they arrived [UTC].

    ``retained`` is what the broker kept for late subscribers: it tells nothing about
    whether its sender still lives.
    """

    topic: str
    payload: bytes
    received_at: datetime
    retained: bool = False
