"""A stranger who opens connections and says nothing holds up nobody; over real sockets."""

import socket
import threading
import time
from collections.abc import Iterator

import pytest

from dashboards import http_connections
from dashboards.app import create_app
from dashboards.http_connections import BoundedConnection
from dashboards.serving import Address, Server
from tests.browser.pages_process import free_port
from tests.dashboards.filled_shed import FilledShed

HERE = "127.0.0.1"
_WHOLE = "GET /health HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
_FORM = (
    "POST /login HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n"
    "Content-Type: application/x-www-form-urlencoded\r\n"
)


@pytest.fixture
def port(shed: FilledShed, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    monkeypatch.setattr(BoundedConnection, "whole_within_s", 1.0)
    found = free_port()
    server = Server(create_app(shed.services()), Address(host=HERE, port=found), alone=True)
    yield found
    server.stop()


def opened(port: int, said: str = "") -> socket.socket:
    made = socket.create_connection((HERE, port), timeout=10)
    made.sendall(said.encode())
    return made


def heard(connection: socket.socket) -> str:
    """All that comes until the server ends the connection."""
    told = b""
    try:
        while more := connection.recv(65536):
            told += more
    except ConnectionResetError:
        pass
    return told.decode(errors="replace")


@pytest.mark.parametrize(
    "said", ["", "GET /health HTTP/1.1\r\nHost:", f"{_FORM}Content-Length: 9\r\n\r\na=b"]
)
def test_a_request_that_never_becomes_whole_is_given_up(port: int, said: str) -> None:
    begun = time.monotonic()
    with opened(port, said) as silent:
        assert heard(silent) == ""
    assert 0.5 < time.monotonic() - begun < 5


def test_one_byte_now_and_then_gives_no_more_time(port: int) -> None:
    ended = threading.Event()
    with opened(port, "GET /health HTTP/1.1\r\nX-Slow: ") as slow:

        def drip() -> None:
            while not ended.wait(0.2):
                try:
                    slow.sendall(b"a")
                except OSError:
                    return

        dripping = threading.Thread(target=drip)
        dripping.start()
        begun = time.monotonic()
        try:
            assert heard(slow) == ""
            assert time.monotonic() - begun < 5
        finally:
            ended.set()
            dripping.join()


def test_an_open_stream_is_not_given_up(port: int) -> None:
    with opened(port, "GET /live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n") as stream:
        told, begun = "", time.monotonic()
        while time.monotonic() - begun < 4:
            told += stream.recv(65536).decode()
        assert told.count("event: heartbeat") >= 2


def test_one_address_holds_so_many_connections_and_no_more(
    port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(BoundedConnection, "whole_within_s", 60.0)
    monkeypatch.setattr(BoundedConnection, "most_of_one_address", 3)
    monkeypatch.setattr(http_connections, "_is_loopback", lambda _address: False)
    silent = [opened(port) for _ in range(3)]
    try:
        with opened(port) as fourth:
            assert heard(fourth) == ""
        silent.pop().close()
        time.sleep(0.2)
        with opened(port, _WHOLE) as again:
            assert " 200 OK" in heard(again)
    finally:
        for one in silent:
            one.close()


def test_all_together_hold_so_many_and_no_more(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(BoundedConnection, "whole_within_s", 60.0)
    monkeypatch.setattr(BoundedConnection, "most_in_all", 3)
    silent = [opened(port) for _ in range(3)]
    try:
        with opened(port) as fourth:
            assert heard(fourth) == ""
    finally:
        for one in silent:
            one.close()


@pytest.mark.parametrize(
    "length", ["Transfer-Encoding: chunked", "Content-Length: 7\r\nTransfer-Encoding: chunked"]
)
def test_a_form_in_chunks_is_refused_before_it_is_read(port: int, length: str) -> None:
    # RFC 9112, 6.3: Transfer-Encoding overrides Content-Length, so that the form has no end.
    with opened(port, f"{_FORM}{length}\r\n\r\n3\r\na=b\r\n") as endless:
        assert endless.recv(65536).decode().startswith("HTTP/1.1 413 ")
