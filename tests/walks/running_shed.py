"""A real watch (and pages) over a real broker, as processes of their own."""

import signal
import socket
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from service.answers.health import pulse
from service.heartbeat import heartbeat_file, read_heartbeat
from tests.broker_fixture import RunningBroker, running_broker
from tests.listening import wait_until
from tests.service.shed_in_a_folder import CONFIGURATION

SHED = CONFIGURATION.replace(
    "[[place]]",
    '[broker]\nurl = "mqtt://127.0.0.1:BROKER"\n\n[pages]\nport = PAGES\n\n[[place]]',
    1,
)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class RunningShed:
    """One data folder with its broker; its processes are started and ended at will."""

    def __init__(self, folder: Path, broker: RunningBroker, configuration: str) -> None:
        self.data = folder / "data"
        self.broker = broker
        self.pages_port = free_port()
        self.data.mkdir(parents=True)
        # A folder of that name may have been there in an earlier run, and left one behind.
        heartbeat_file(self.data).unlink(missing_ok=True)
        text = configuration.replace("BROKER", str(broker.port))
        text = text.replace("PAGES", str(self.pages_port))
        (self.data / "clutchweather.toml").write_text(text)
        self._log = (folder / "service.log").open("ab")
        self._processes: list[subprocess.Popen[bytes]] = []
        self._watch: subprocess.Popen[bytes] | None = None

    def command(self, name: str, *arguments: str) -> "subprocess.Popen[bytes]":
        """Start ``clutchweather name`` on this folder."""
        process = subprocess.Popen(
            [sys.executable, "-m", "service", name, "--data", str(self.data), *arguments],
            stdout=self._log,
            stderr=self._log,
        )
        self._processes.append(process)
        return process

    def watch(self) -> "subprocess.Popen[bytes]":
        """Start a watch and wait until it listens."""
        process = self.command("watch")
        self._watch = process
        wait_until(lambda: self.listens(process.pid), within=20)
        return process

    def stop_watch(self) -> None:
        """SIGKILL for the watch that was started last."""
        if self._watch is not None:
            self._watch.kill()
            self._watch.wait()

    def listens(self, pid: int) -> bool:
        """Whether this watch is subscribed to all feeds."""
        heartbeat = read_heartbeat(heartbeat_file(self.data))
        if heartbeat is None or heartbeat.pid != pid:
            return False
        return pulse(heartbeat).well["listener"]

    def end(self) -> None:
        for process in self._processes:
            if process.poll() is None:
                process.send_signal(signal.SIGCONT)
                process.kill()
                process.wait()
        self._log.close()


@contextmanager
def running_shed(
    folder: Path, *, configuration: str = SHED, broker_configuration: Sequence[str] = ()
) -> Iterator[RunningShed]:
    """A shed whose broker runs; everything is gone afterwards."""
    lines = "".join(f"{line}\n" for line in ("persistence true", *broker_configuration))
    with running_broker(folder / "broker", lines) as broker:
        shed = RunningShed(folder, broker, configuration)
        try:
            yield shed
        finally:
            shed.end()
