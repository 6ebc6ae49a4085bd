"""The bounded row of deliveries between the network thread and the consumer.

The network thread never waits in here: it asks for room before it reads from the broker,
and while there is none it does not read, so that the broker holds the rest.
"""

import threading
from collections import deque
from collections.abc import Callable

from service.intake.delivery import Delivery


class Handoff:
    """First in, first out, for one writer and one reader.

    Args:
        size: From how many deliveries on there is no room.
        on_room: Called by the reader's thread when it has made room again.
    """

    def __init__(self, size: int, on_room: Callable[[], None]) -> None:
        self._size = size
        self._on_room = on_room
        self._row: deque[Delivery] = deque()
        self._arrived = threading.Condition()

    def has_room(self) -> bool:
        """Whether the network thread may read on."""
        return len(self._row) < self._size

    def put(self, delivery: Delivery) -> None:
        """Append, and wake the reader. Never waits, never refuses what was read already."""
        with self._arrived:
            self._row.append(delivery)
            self._arrived.notify()

    def take(self, timeout: float) -> list[Delivery]:
        """All that is there, oldest first; empty when nothing came within ``timeout`` [s]."""
        with self._arrived:
            if not self._row:
                self._arrived.wait(timeout)
            was_full = not self.has_room()
            taken = list(self._row)
            self._row.clear()
        if was_full:
            self._on_room()
        return taken

    def wake(self) -> None:
        """Let a waiting reader go; used when the listener stops."""
        with self._arrived:
            self._arrived.notify_all()
