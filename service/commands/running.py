"""The whole service under one parent."""

from collections.abc import Callable, Sequence
from pathlib import Path

from service.commands.keeping_alive import Child, keep_alive, stop_on_signals
from service.intake.broker_standing import read_standing
from service.intake.data_lock import DataLock
from service.intake.mosquitto_process import LOOPBACK

BROKER_PORT = 1883


def run_up(
    arguments: Sequence[str],
    data: Path,
    say: Callable[[str], None],
    *,
    broker_port: int = BROKER_PORT,
) -> None:
    """Run watch, pages and a broker, and start again what dies, until asked to stop.

    The broker is ended last: those who hear it say goodbye to it first.

    Raises:
        AlreadyRunningError: another copy is at work in the data folder.
    """
    DataLock(data).release()
    watch = Child("watch", ["watch", *arguments])
    pages = Child("pages", ["pages", *arguments])
    broker = Child("broker", ["broker", *arguments, "--port", str(broker_port)])
    follow = Following(data, watch, say)
    keep_alive([watch, pages, broker], stop_on_signals(), say, also=follow.look)


class Following:
    """Starts watch anew when the broker is elsewhere than it was, so that it goes there."""

    def __init__(self, data: Path, watch: Child, say: Callable[[str], None]) -> None:
        self._data = data
        self._watch = watch
        self._say = say
        self._where = self._now() or (LOOPBACK, BROKER_PORT)

    def look(self) -> None:
        """Called again and again."""
        where = self._now()
        if where is not None and where != self._where:
            self._say(f"the broker is at {where[0]}, port {where[1]}; watch goes there")
            self._where = where
            self._watch.start_anew()

    def _now(self) -> tuple[str, int] | None:
        standing = read_standing(self._data)
        if standing is None or standing.host is None:
            return None
        return standing.host, standing.port
