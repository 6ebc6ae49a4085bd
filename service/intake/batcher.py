"""When a batch of deliveries is ready to be committed. Pure: time is an argument.

A batch is closed by time or by count, whichever comes first. By count alone would be a
trap: a broker sends only so many unacknowledged messages and then waits for us, so that a
batch larger than that window would never fill.
"""

from collections.abc import Sequence

from service.intake.delivery import Delivery

CLOSE_AFTER_S = 5.0
CLOSE_AT_COUNT = 200


class Batcher:
    """Collects deliveries in the order in which they came.

    Args:
        close_after_s: Age of the oldest delivery at which the batch is due [s, real time].
        close_at_count: Number of deliveries at which it is due.
    """

    def __init__(
        self, *, close_after_s: float = CLOSE_AFTER_S, close_at_count: int = CLOSE_AT_COUNT
    ) -> None:
        self._close_after_s = close_after_s
        self._close_at_count = close_at_count
        self._deliveries: list[Delivery] = []
        self._opened_at = 0.0

    def add(self, deliveries: Sequence[Delivery], now: float) -> None:
        """Put deliveries in. ``now`` is the monotonic time [s]."""
        if deliveries and not self._deliveries:
            self._opened_at = now
        self._deliveries.extend(deliveries)

    @property
    def oldest(self) -> Delivery | None:
        """The delivery that waits longest; None when the batch is empty."""
        return self._deliveries[0] if self._deliveries else None

    def is_due(self, now: float, window: int) -> bool:
        """Whether to commit now; an empty batch never is.

        ``window`` is how many messages the broker sends before it waits for an answer: at
        half of it the batch is due, so that the broker is never brought to a halt.
        """
        if not self._deliveries:
            return False
        count = len(self._deliveries)
        return count >= min(self._close_at_count, max(window // 2, 1)) or (
            now - self._opened_at >= self._close_after_s
        )

    def seconds_left(self, now: float) -> float:
        """Time until the batch is due by time [s]; an empty one could wait for all of it."""
        if not self._deliveries:
            return self._close_after_s
        return max(self._opened_at + self._close_after_s - now, 0.0)

    def close(self) -> tuple[Delivery, ...]:
        """Give the batch away and begin a new, empty one."""
        closed = tuple(self._deliveries)
        self._deliveries.clear()
        return closed
