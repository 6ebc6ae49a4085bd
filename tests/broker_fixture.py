"""A real mosquitto for tests: on a free port, with any configuration, killed at will."""

import os
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.intake.broker_address import BrokerAddress
from tests.needs import need

PERSISTENT = "persistence true\nautosave_interval 30\n"
FORGETFUL = "persistence false\n"


class RunningBroker:
    """One mosquitto that can be killed and started again on the same port."""

    def __init__(self, folder: Path, configuration: str) -> None:
        self._program = need("mosquitto", "broker")
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self._file = folder / "broker.conf"
        self.configure(configuration)
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> BrokerAddress:
        return BrokerAddress(host="127.0.0.1", port=self.port)

    def configure(self, configuration: str) -> None:
        """State what the next start reads."""
        user = "user root\n" if os.geteuid() == 0 else ""
        self._file.write_text(
            f"listener {self.port} 127.0.0.1\nallow_anonymous true\n{user}"
            f"persistence_location {self.folder.resolve()}/\nmax_queued_messages 100000\n"
            f"{configuration}"
        )

    def log(self) -> str:
        """What the broker has told about itself so far."""
        return (self.folder / "broker.log").read_text(errors="replace")

    def start(self) -> None:
        with (self.folder / "broker.log").open("ab") as log:
            self._process = subprocess.Popen(
                [self._program, "-v", "-c", str(self._file)], stdout=log, stderr=log
            )
        until = time.monotonic() + 10
        while time.monotonic() < until:
            if self._process.poll() is not None:
                raise RuntimeError(self.log())
            try:
                socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
            except OSError:
                time.sleep(0.02)
            else:
                return
        raise RuntimeError("mosquitto does not listen")

    def kill(self) -> None:
        """SIGKILL: nothing is saved on the way out."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def stop(self) -> None:
        """SIGTERM: a tidy end."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait(10)
            self._process = None


@contextmanager
def running_broker(
    folder: Path, configuration: str = PERSISTENT, *, started: bool = True
) -> Iterator[RunningBroker]:
    """A broker in ``folder`` that is gone afterwards."""
    broker = RunningBroker(folder, configuration)
    try:
        if started:
            broker.start()
        yield broker
    finally:
        broker.kill()
