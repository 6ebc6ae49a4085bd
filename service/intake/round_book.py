"""What is heard while every topic is listened to: the newest message of each, and no more.

Pure but for its lock: the network thread writes, watch reads.
"""

import threading
from dataclasses import replace

from service.store.reading_store import Overheard

MOST_TOPICS = 200
MOST_BYTES_AT_ONCE = 1024 * 1024
AGAIN_AFTER_S = 30.0
"""A topic is told at once when it is new, and then only so often: the card must not be worn."""


class RoundBook:
    """The topics of one round of listening, the one heard longest ago first."""

    def __init__(self) -> None:
        self._heard: dict[str, Overheard] = {}
        self._told_at: dict[str, float] = {}
        self._lock = threading.Lock()

    def note(self, one: Overheard) -> None:
        """Keep it instead of an earlier one of its topic; beyond 200 the oldest topic goes."""
        with self._lock:
            earlier = self._heard.pop(one.topic, None)
            if earlier is not None:
                one = replace(one, count=earlier.count + one.count)
            elif len(self._heard) >= MOST_TOPICS:
                gone = next(iter(self._heard))
                del self._heard[gone]
                self._told_at.pop(gone, None)
            self._heard[one.topic] = one

    def take(self, now: float) -> list[Overheard]:
        """What is to be stored now (``now`` is monotonic [s]); its counts begin anew."""
        taken: list[Overheard] = []
        size = 0
        with self._lock:
            for topic, one in self._heard.items():
                told_at = self._told_at.get(topic)
                due = told_at is None or now - told_at >= AGAIN_AFTER_S
                if one.count and due and size < MOST_BYTES_AT_ONCE:
                    taken.append(one)
                    size += len(one.payload)
            for one in taken:
                self._told_at[one.topic] = now
                self._heard[one.topic] = replace(one, count=0)
        return taken

    def take_all(self) -> list[Overheard]:
        """What was not told yet, at the end."""
        with self._lock:
            taken = [one for one in self._heard.values() if one.count]
            self._heard.clear()
            self._told_at.clear()
        return taken
