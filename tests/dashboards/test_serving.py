"""Addresses come and go under pages that answer all the while; all on loopback."""

import json
import socket
import ssl
import subprocess
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.app import create_app
from dashboards.serving import Address, CannotServeError, Server, Serving, certificate_of
from service.commands.serving import beyond
from service.people.role import Role
from tests.browser.pages_process import free_port
from tests.dashboards.filled_shed import FilledShed
from tests.needs import need

HERE = "127.0.0.1"
OTHER = "127.0.0.2"  # another address of this machine, that needs nobody's network


def health(host: str, port: int, context: ssl.SSLContext | None = None) -> int | None:
    """The status of /health there; None where nobody answers."""
    scheme = "https" if context else "http"
    try:
        with urllib.request.urlopen(
            f"{scheme}://{host}:{port}/health", timeout=3, context=context
        ) as answer:
            json.load(answer)
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code
    except OSError:
        return None


def soon(claim: Callable[[], bool], within_s: float) -> bool:
    deadline = time.monotonic() + within_s
    while time.monotonic() < deadline:
        if claim():
            return True
        time.sleep(0.05)
    return False


@contextmanager
def following(shed: FilledShed, port: int) -> Iterator[Serving]:
    services = shed.services()
    serving = Serving(create_app(services), Address(host=HERE, port=port))
    stop = threading.Event()
    thread = threading.Thread(
        target=serving.follow, args=(lambda: beyond(shed.services(), port), stop)
    )
    thread.start()
    try:
        yield serving
    finally:
        stop.set()
        thread.join(20)
        assert not thread.is_alive()


def make_keeper(shed: FilledShed) -> None:
    shed.records.people.add("Mara", Role.KEEPER, "hash", shed.clock.now())


def test_the_pages_are_let_out_within_five_seconds_once_there_is_a_keeper(
    shed: FilledShed,
) -> None:
    port = free_port()
    shed.settings = replace(shed.settings, bind=OTHER)
    with following(shed, port):
        time.sleep(1.5)
        assert health(HERE, port) == 200
        assert health(OTHER, port) is None
        make_keeper(shed)
        assert soon(lambda: health(OTHER, port) == 200, 5.0)
        assert health(HERE, port) == 200


def test_they_are_taken_in_again_and_answer_here_all_the_while(shed: FilledShed) -> None:
    port = free_port()
    make_keeper(shed)
    answers: list[int | None] = []
    over = threading.Event()

    def ask() -> None:
        while not over.is_set():
            answers.append(health(HERE, port))
            time.sleep(0.02)

    with following(shed, port):
        asking = threading.Thread(target=ask)
        asking.start()
        shed.settings = replace(shed.settings, bind=OTHER)
        assert soon(lambda: health(OTHER, port) == 200, 5.0)
        shed.settings = replace(shed.settings, bind=HERE)
        assert soon(lambda: health(OTHER, port) is None, 5.0)
        over.set()
        asking.join()
    assert len(answers) > 5
    assert set(answers) == {200}


def test_an_address_that_this_machine_has_not_is_told_and_tried_again(shed: FilledShed) -> None:
    port = free_port()
    make_keeper(shed)
    # RFC 5737: an address for documentation, which no machine has.
    shed.settings = replace(shed.settings, bind="192.0.2.7")
    with following(shed, port) as serving:
        assert soon(lambda: bool(serving.notes), 5.0)
        assert "192.0.2.7" in serving.notes[0]
        assert health(HERE, port) == 200
        shed.settings = replace(shed.settings, bind=OTHER)
        assert soon(lambda: health(OTHER, port) == 200, 5.0)
        assert serving.notes == ()


def test_two_copies_dont_share_a_port(shed: FilledShed) -> None:
    port = free_port()
    with following(shed, port), pytest.raises(CannotServeError, match=f"port {port}"):
        Serving(create_app(shed.services()), Address(host=HERE, port=port))


def test_an_open_stream_does_not_hold_up_an_address_that_goes(shed: FilledShed) -> None:
    port = free_port()
    server = Server(create_app(shed.services()), Address(host=HERE, port=port), alone=True)
    with urllib.request.urlopen(f"http://{HERE}:{port}/live", timeout=5) as stream:
        assert stream.readline().startswith(b"event: heartbeat")
        began = time.monotonic()
        server.stop()
        assert time.monotonic() - began < 2.0


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[Path, Path]:
    openssl = need("openssl", "tls")
    file, key = tmp_path / "own.pem", tmp_path / "own.key"
    subprocess.run(
        [openssl, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
         "-nodes", "-keyout", key, "-out", file, "-days", "2", "-subj", "/CN=hazel",
         "-addext", f"subjectAltName=IP:{OTHER}"],
        check=True,
        capture_output=True,
    )  # fmt: skip
    return file, key


def test_with_an_own_certificate_others_are_served_over_tls_and_this_machine_plainly(
    shed: FilledShed, certificate: tuple[Path, Path]
) -> None:
    file, key = certificate
    port = free_port()
    make_keeper(shed)
    shed.settings = replace(shed.settings, bind=OTHER, certificate_file=file, key_file=key)
    trusting = ssl.create_default_context(cafile=str(file))
    with following(shed, port):
        assert soon(lambda: health(OTHER, port, trusting) == 200, 5.0)
        assert health(HERE, port) == 200


@pytest.mark.parametrize("spoilt", ["missing", "text", "other key"])
def test_a_wrong_certificate_is_told_and_nobody_is_served_without_it(
    shed: FilledShed, certificate: tuple[Path, Path], spoilt: str
) -> None:
    file, key = certificate
    match spoilt:
        case "missing":
            file.unlink()
        case "text":
            file.write_text("no certificate")
        case "other key":
            key.write_text("no key")
    port = free_port()
    make_keeper(shed)
    shed.settings = replace(shed.settings, bind=OTHER, certificate_file=file, key_file=key)
    with following(shed, port) as serving:
        assert soon(lambda: bool(serving.notes), 5.0)
        assert str(file) in serving.notes[0]
        assert health(HERE, port) == 200
        assert health(OTHER, port) is None


def test_a_renewed_certificate_is_another_one(certificate: tuple[Path, Path]) -> None:
    import os

    before = certificate_of(*certificate)
    assert certificate_of(*certificate) == before
    os.utime(certificate[0], (1, 1))
    assert certificate_of(*certificate) != before
    assert certificate_of(None, None) is None


def test_what_the_pages_have_to_tell_is_said_on_them(shed: FilledShed) -> None:
    from tests.dashboards.conftest import client_of

    services = replace(shed.services(), notes=lambda: ("own.pem can't be read",))

    class Told:
        def services(self) -> object:
            return services

    assert "own.pem can&#39;t be read" in client_of(Told()).get("/nests").text  # type: ignore[arg-type]


def test_a_socket_that_listens_is_not_taken(shed: FilledShed) -> None:
    with socket.socket() as taken:
        taken.bind((HERE, 0))
        taken.listen()
        with pytest.raises(CannotServeError):
            Server(
                create_app(shed.services()),
                Address(host=HERE, port=taken.getsockname()[1]),
                alone=True,
            )
