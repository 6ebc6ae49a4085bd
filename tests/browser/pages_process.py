"""The pages as they really run: a process of their own, over files that the test fills.

The test plays watch: it writes readings and the heartbeat, as watch would.
"""

import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from playwright.sync_api import Error, Page

from devices.reading import Quantity, Reading
from service.heartbeat import Heartbeat, heartbeat_file, write_heartbeat
from service.quality.flag import Flag, Judged
from service.settings.load import load_settings
from service.store.reading_store import Batch, Heard
from service.store.sqlite_readings import SqliteReadings
from service.wiring import open_stores
from tests.dashboards.filled_shed import put_up_pair

CONFIGURATION = """
[shed]
id = "hazel"
name = "Hazel shed"
timezone = "Europe/Amsterdam"

[[place]]
id = "shed"
kind = "shed"
[[place]]
id = "cage-1"
kind = "cage"
in = "shed"
[[place]]
id = "box-1"
kind = "box"
in = "cage-1"
name = "Box 1"

[[sensor]]
device = "th-shed"
place = "shed"
interval = "5 min"

[[limit]]
id = "cold"
place = "shed"
quantity = "temperature"
low = 5.0
priority = "high"
"""
ALLOWED = timedelta(minutes=15)


class PlayedWatch:
    """Beats once a second, as watch does, until it is stopped."""

    def __init__(self, data: Path) -> None:
        self._file = heartbeat_file(data)
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        self._stop.clear()
        self._beat()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        self._stop.set()
        if self._thread is not None:
            self._thread.join()

    def _run(self) -> None:
        while not self._stop.wait(1.0):
            self._beat()

    def _beat(self) -> None:
        now, at = time.monotonic(), datetime.now(UTC)
        moved = dict.fromkeys(("listener", "store", "rules"), now)
        write_heartbeat(
            self._file,
            Heartbeat(
                pid=os.getpid(),
                at=at,
                started_at=at,
                written_monotonic=now,
                moved_monotonic=moved,
                broker="connected",
            ),
        )


@dataclass(kw_only=True)
class PagesProcess:
    """``address`` stays the same over restarts."""

    data: Path
    port: int
    readings: SqliteReadings
    watch: PlayedWatch
    process: subprocess.Popen[bytes] | None = field(default=None)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        command = [sys.executable, "-m", "service", "pages", "--data", str(self.data)]
        self.process = subprocess.Popen([*command, "--port", str(self.port)])
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            try:
                with urllib.request.urlopen(f"{self.address}/health", timeout=2):
                    return
            except urllib.error.HTTPError:
                return  # it answers, though not all is well
            except OSError:
                time.sleep(0.2)
        raise AssertionError("the pages do not answer")

    def stop(self) -> float:
        """Ask it to end, as a supervisor does; return how long that took [s]."""
        assert self.process is not None
        began = time.monotonic()
        self.process.send_signal(signal.SIGCONT)
        self.process.terminate()
        self.process.wait(timeout=20)
        self.process = None
        return time.monotonic() - began

    def freeze(self) -> None:
        """Stop it in the middle of whatever it does: its connections stay open."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP)

    def measure(self, temperature_c: float, at: datetime | None = None) -> None:
        """One reading of the shed's thermometer is stored, and the sensor was heard."""
        at = at or datetime.now(UTC)
        reading = Reading(
            device="th-shed",
            place="shed",
            quantity=Quantity.TEMPERATURE,
            value=temperature_c,
            measured_at=at,
            received_at=at,
        )
        heard = Heard(device="th-shed", at=at, deadline=at + ALLOWED)
        self.readings.commit(
            Batch(judged=(Judged(reading=reading, flag=Flag.PASS),), heard=(heard,))
        )


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        found: int = probe.getsockname()[1]
        return found


@contextmanager
def running_pages(data: Path) -> Iterator[PagesProcess]:
    """A shed with a few readings and a pair in its box, its watch played, its pages served."""
    data.mkdir(parents=True, exist_ok=True)
    (data / "clutchweather.toml").write_text(CONFIGURATION)
    settings = load_settings(None, data)
    stores = open_stores(settings, data, writer=True)
    assert isinstance(stores.readings, SqliteReadings)
    pages = PagesProcess(
        data=data, port=free_port(), readings=stores.readings, watch=PlayedWatch(data)
    )
    now = datetime.now(UTC)
    for minutes in range(120, 0, -5):
        pages.measure(12.0, now - timedelta(minutes=minutes))
    pages.measure(12.0)
    put_up_pair(stores.records.nest_book, 1, ring="1")
    pages.watch.start()
    try:
        pages.start()
        yield pages
    finally:
        pages.watch.stop()
        if pages.process is not None:
            pages.stop()
        stores.close()


def wait_for(page: Page, claim: str, within_s: float) -> None:
    """Wait until a JavaScript expression holds; the page's own policy forbids to eval one."""
    began = time.monotonic()
    while not _is_so(page, claim):
        assert time.monotonic() - began < within_s, f"after {within_s} s it is not so: {claim}"
        page.wait_for_timeout(200)


def _is_so(page: Page, claim: str) -> bool:
    """False while the page is just being left: its answer would be that of neither page."""
    try:
        return bool(page.evaluate(claim))
    except Error as error:
        if "context was destroyed" not in str(error):
            raise
        return False
