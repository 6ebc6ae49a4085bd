"""How often senders without a place are heard, as far as the pages have watched them.

The store keeps only the last message of each and how many there were; two looks at it tell the
mean time between messages, however seldom the looks are.
"""

import threading
from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from service.store.reading_store import Overheard, Stranger

_LOOKS_KEPT = 20
_MOST_SENDERS = 500


class Arrivals:
    """Remembers the last looks, in memory: a restart begins anew. For many threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._looks: dict[str, deque[tuple[datetime, int]]] = defaultdict(
            lambda: deque(maxlen=_LOOKS_KEPT)
        )

    def note(self, strangers: Sequence[Stranger], overheard: Sequence[Overheard]) -> None:
        """One look at the store."""
        with self._lock:
            for device, measures in _by_device(strangers).items():
                often = max(measures, key=lambda one: one.count)
                self._note(f"device {device} {often.measure}", often.at, often.count)
            for one in overheard:
                self._note(f"topic {one.topic}", one.at, one.count)

    def of_device(self, device: str) -> timedelta | None:
        """The usual time between two messages of a sender; None where too few were heard."""
        with self._lock:
            found = [
                interval
                for key, looks in self._looks.items()
                if key.startswith(f"device {device} ") and (interval := _interval(looks))
            ]
        return min(found, default=None)

    def of_topic(self, topic: str) -> timedelta | None:
        """The same of the messages under a topic."""
        with self._lock:
            return _interval(self._looks.get(f"topic {topic}", ()))

    def _note(self, key: str, at: datetime, count: int) -> None:
        looks = self._looks[key]
        if looks and (count < looks[-1][1] or at < looks[-1][0]):
            looks.clear()  # it was forgotten meanwhile, and came again
        if not looks or count > looks[-1][1]:
            looks.append((at, count))
        if len(self._looks) > _MOST_SENDERS:
            del self._looks[next(iter(self._looks))]


def _interval(looks: Iterable[tuple[datetime, int]]) -> timedelta | None:
    gaps = sorted(
        (later[0] - earlier[0]) / (later[1] - earlier[1]) for earlier, later in pairwise(looks)
    )
    return (gaps[len(gaps) // 2] if gaps else None) or None


def _by_device(strangers: Sequence[Stranger]) -> dict[str, list[Stranger]]:
    found: dict[str, list[Stranger]] = defaultdict(list)
    for one in strangers:
        found[one.device].append(one)
    return found
