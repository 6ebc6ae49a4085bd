"""Runs mosquitto, another's program, as a child: started, waited for, ended with its parent."""

import shutil
import socket
import subprocess
import time
from pathlib import Path

from devices.errors import ClutchweatherError
from service.child_process import ends_with_its_parent

LOOPBACK = "127.0.0.1"
CONFIGURATION = "mosquitto.conf"
DATABASE = "mosquitto.db"
UNREADABLE = "mosquitto.db.unreadable"
LOG = "mosquitto.log"

STARTS_WITHIN_S = 10.0
STOPS_WITHIN_S = 5.0


class BrokerDidNotStartError(ClutchweatherError):
    """The broker's program ended or did not listen; the message has its last words."""


class MosquittoProcess:
    """A running mosquitto."""

    def __init__(self, process: "subprocess.Popen[bytes]", log: Path) -> None:
        self._process = process
        self._log = log

    @property
    def pid(self) -> int:
        """Its process id."""
        return self._process.pid

    def ended(self) -> str | None:
        """What it said last when it has ended; None while it runs."""
        return None if self._process.poll() is None else self._last_words()

    def blames_its_database(self) -> bool:
        """Whether it ended over what it keeps: it says so, or it crashed while reading it."""
        status = self._process.poll()
        return status is not None and (status < 0 or "database" in self._last_words())

    def signal(self, number: int) -> None:
        """Send it a signal; nothing when it has ended."""
        self._process.send_signal(number)

    def wait_until_it_listens(self, port: int, within_s: float = STARTS_WITHIN_S) -> None:
        """Return when it accepts connections on loopback.

        Raises:
            BrokerDidNotStartError: it ended, or was not ready in time.
        """
        until = time.monotonic() + within_s
        while time.monotonic() < until:
            if (last_words := self.ended()) is not None:
                raise BrokerDidNotStartError(f"mosquitto did not start: {last_words}")
            try:
                socket.create_connection((LOOPBACK, port), timeout=1).close()
            except OSError:
                time.sleep(0.02)
            else:
                return
        self.stop()
        raise BrokerDidNotStartError(f"mosquitto did not listen on port {port} in time")

    def stop(self, within_s: float = STOPS_WITHIN_S) -> None:
        """Ask it to save what it holds and to end; end it when it does not."""
        if self._process.poll() is None:
            self._process.terminate()
        try:
            self._process.wait(within_s)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()

    def _last_words(self) -> str:
        lines = self._log.read_text(errors="replace").strip().splitlines()
        return lines[-1] if lines else f"it ended with status {self._process.returncode}"


def find_mosquitto() -> str | None:
    """The broker's program, also where an ordinary user's PATH does not lead."""
    return shutil.which("mosquitto") or shutil.which(
        "mosquitto", path="/usr/sbin:/usr/local/sbin:/sbin"
    )


def is_free(port: int, host: str = LOOPBACK) -> bool:
    """Whether a program could listen there."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
        return True


def run_mosquitto(
    program: str, folder: Path, port: int, within_s: float = STARTS_WITHIN_S
) -> MosquittoProcess:
    """Run it with the configuration and the database in ``folder``, until it listens.

    After a power cut the database may be unreadable, and mosquitto then refuses to start: it is
    put aside, and mosquitto begins without what it held. A port that is taken, for example, is no
    reason to part with what waits for watch.

    Raises:
        BrokerDidNotStartError: in its own words.
    """
    broker = _start(program, folder)
    try:
        broker.wait_until_it_listens(port, within_s)
    except BrokerDidNotStartError:
        database = folder / DATABASE
        if not (database.exists() and broker.blames_its_database()):
            raise
        database.replace(folder / UNREADABLE)
        broker = _start(program, folder)
        broker.wait_until_it_listens(port, within_s)
    return broker


def _start(program: str, folder: Path) -> MosquittoProcess:
    log = folder / LOG
    with log.open("wb") as file:
        process = subprocess.Popen(  # noqa: S603 - a program that was looked for by name
            [program, "-c", str(folder / CONFIGURATION)],
            stdin=subprocess.DEVNULL,
            stdout=file,
            stderr=file,
            preexec_fn=ends_with_its_parent(),  # noqa: PLW1509 - does one system call
            # Ctrl-C in a terminal goes to the whole group: the broker must outlive those who
            # still say goodbye to it.
            start_new_session=True,
        )
    return MosquittoProcess(process, log)
