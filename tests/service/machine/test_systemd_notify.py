"""What systemd hears, over a socket as sd_notify(3) describes it."""

import socket
import subprocess
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from service.machine.systemd_notify import (
    answers,
    notify,
    told_at_every_turn,
    told_while_answering,
    watchdog_s,
)
from tests.needs import need


@pytest.fixture
def systemd(tmp_path: Path) -> Iterator[socket.socket]:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        listening.bind(str(tmp_path / "notify"))
        listening.settimeout(5)
        yield listening


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    return {"NOTIFY_SOCKET": str(tmp_path / "notify"), "WATCHDOG_USEC": "600000"}


class Pages(BaseHTTPRequestHandler):
    status = 200

    def do_GET(self) -> None:
        self.send_response(self.status)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def pages() -> Iterator[int]:
    with HTTPServer(("127.0.0.1", 0), Pages) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1]
        server.shutdown()


def test_ready_is_told_once_and_alive_at_every_turn(
    systemd: socket.socket, environment: dict[str, str]
) -> None:
    turn = told_at_every_turn(environment)
    turn()
    turn()
    assert [systemd.recv(99), systemd.recv(99)] == [b"READY=1\nWATCHDOG=1", b"WATCHDOG=1"]


def test_an_abstract_socket_is_reached() -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        listening.bind("\0clutchweather-test-notify")
        listening.settimeout(5)
        notify("READY=1", {"NOTIFY_SOCKET": "@clutchweather-test-notify"})
        assert listening.recv(99) == b"READY=1"


@pytest.mark.parametrize("where", ["", "relative", "/nowhere/at/all"])
def test_without_a_systemd_nothing_happens(where: str) -> None:
    notify("READY=1", {"NOTIFY_SOCKET": where})


@pytest.mark.parametrize(
    ("asked", "seconds"), [("60000000", 60.0), ("", None), ("0", None), ("x", None)]
)
def test_how_often_systemd_wants_to_hear(asked: str, seconds: float | None) -> None:
    assert watchdog_s({"WATCHDOG_USEC": asked}) == seconds


def test_systemd_hears_of_pages_that_answer(
    systemd: socket.socket, environment: dict[str, str], pages: int
) -> None:
    with told_while_answering(lambda: ("127.0.0.1", pages, False), environment):
        assert systemd.recv(99) == b"READY=1\nWATCHDOG=1"
        assert systemd.recv(99) == b"WATCHDOG=1"


def test_systemd_hears_nothing_of_pages_that_do_not_answer(
    systemd: socket.socket, environment: dict[str, str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        silent.close()
        port = silent.getsockname()[1] if silent.fileno() >= 0 else 1
        systemd.settimeout(1.5)
        with (
            told_while_answering(lambda: ("127.0.0.1", port, False), environment),
            pytest.raises(TimeoutError),
        ):
            systemd.recv(99)


@pytest.mark.parametrize(("status", "wanted"), [(200, True), (503, True), (500, False)])
def test_pages_that_fail_are_not_taken_for_answering(
    pages: int, monkeypatch: pytest.MonkeyPatch, *, status: int, wanted: bool
) -> None:
    """503 is what the pages say when watch is dead: they themselves live."""
    monkeypatch.setattr(Pages, "status", status)
    assert answers("0.0.0.0", pages) is wanted


def test_a_real_systemd_program_hears_the_same(tmp_path: Path) -> None:
    """systemd-notify(1) is the other speaker of the protocol: both send alike."""
    program = need("systemd-notify", "units")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        listening.bind(str(tmp_path / "notify"))
        listening.settimeout(5)
        environment = {"NOTIFY_SOCKET": str(tmp_path / "notify")}
        subprocess.run([program, "--no-block", "--ready"], env=environment, check=True)
        theirs = listening.recv(99)
        notify("READY=1", environment)
        assert listening.recv(99) == theirs.strip()
