"""What the walk of a reading asks of a path that follows rules of its own, beside the limits."""

from datetime import datetime
from typing import Protocol

from service.quality.flag import Judged
from service.store.reading_store import ReadingStore


class RulePath(Protocol):
    """Rules of one subject. For one thread, by event time."""

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off; the first call."""
        ...

    def reading(self, judged: Judged) -> None:
        """One reading, not older than a day when it came."""
        ...

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which something is due without a reading."""
        ...

    def tick(self, now: datetime) -> None:
        """Do what is due at ``now``."""
        ...
