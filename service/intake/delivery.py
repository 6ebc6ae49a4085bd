"""What the listener hands to its consumer."""

from dataclasses import dataclass
from datetime import datetime

from devices.message import Message

UNREADABLE_TOPIC = "(topic is not UTF-8) "
"""Begins the topic of a message whose own topic can't be read; such a topic has no feed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """A message and what is needed to acknowledge it.

    ``mid`` is the broker's number for it, valid on the connection ``generation`` only; 0
    where the broker waits for no answer (QoS 0). ``redelivered`` is the broker's DUP flag:
    a hint for counting, never a reason to leave a message out, because a broker may set it
    on a message that we never got.
    """

    message: Message
    mid: int
    generation: int
    redelivered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PossibleGap:
    """Messages may be missing before ``at``: the broker no longer knew our session."""

    at: datetime
    reason: str
