"""Messages that could not be used: the answer to ``dead-letters``."""

import base64
from collections.abc import Sequence

from typing_extensions import TypedDict

from service.answers.telling import rfc3339
from service.store.reading_store import DeadLetter


class DeadLetterAnswer(TypedDict):
    """``count`` is how often the same came; the payload is base64 (RFC 4648)."""

    t: str
    topic: str
    reason: str
    count: int
    payload_b64: str


def dead_letters(kept: Sequence[DeadLetter]) -> list[DeadLetterAnswer]:
    """One item for each letter, in the order given."""
    return [
        DeadLetterAnswer(
            t=rfc3339(letter.at),
            topic=letter.topic,
            reason=letter.reason,
            count=letter.count,
            payload_b64=base64.b64encode(letter.payload).decode("ascii"),
        )
        for letter in kept
    ]
