"""Serves the pages where they shall be served now, which may change while they run.

Each address has a server in a thread of its own, so that one can come and go beside the
others: the pages on this machine itself answer all the while. Open event streams don't hold up
a server that is told to stop.

Two addresses may overlap (all addresses, and loopback): the kernel hands a connection to the
more special one, where both have SO_REUSEPORT (socket(7); Linux). So that two copies of this
program don't share a port by that, it is tried first without.
"""

import logging
import socket
import ssl
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from starlette.types import ASGIApp, Receive, Scope, Send

from dashboards.http_connections import BoundedConnection
from devices.errors import ClutchweatherError
from service.errors import StoreUnavailableError

log = logging.getLogger(__name__)

LOOK_EVERY_S = 0.5
TRY_AGAIN_S = 5.0
_STARTS_WITHIN_S = 10.0
_BACKLOG = 128


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Two files, and when they were last written: a renewed one is read anew."""

    file: Path
    key: Path
    written: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where to serve; over TLS if there is a certificate."""

    host: str
    port: int
    certificate: Certificate | None = None


class CannotServeError(ClutchweatherError):
    """An address can't be served; the message says why, in words."""


class Server:
    """One address being served."""

    def __init__(self, app: ASGIApp, address: Address, *, alone: bool) -> None:
        """Listen, and begin to answer. ``alone``: no other program may listen there.

        Raises:
            CannotServeError: the address can't be had, or its certificate is not one.
        """
        self.address = address
        if address.certificate is not None:
            _try_certificate(address.certificate)
        listening = _listen(address, alone=alone)
        config = uvicorn.Config(
            _told_when_to_end(app, lambda: self._server.should_exit),
            http=BoundedConnection,
            backlog=_BACKLOG,
            lifespan="off",
            log_level="warning",
            access_log=False,
            timeout_graceful_shutdown=3,
            server_header=False,
            proxy_headers=False,
            ssl_certfile=address.certificate.file if address.certificate else None,
            ssl_keyfile=address.certificate.key if address.certificate else None,
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(
            target=self._server.run,
            kwargs={"sockets": [listening]},
            name=f"pages on {address.host}",
            daemon=True,
        )
        self._thread.start()
        self._wait()

    @property
    def lives(self) -> bool:
        """Whether it still answers."""
        return self._thread.is_alive()

    def stop(self) -> None:
        """Answer what was asked, and end."""
        self._server.should_exit = True
        self._thread.join()

    def _wait(self) -> None:
        deadline = time.monotonic() + _STARTS_WITHIN_S
        while not self._server.started:
            if not self.lives or time.monotonic() > deadline:
                raise CannotServeError(f"the server on {self.address.host} did not start")
            time.sleep(0.01)


class Serving:
    """Follows what is wanted: one address that always is, and at most one more.

    ``notes`` tells in words what is wanted and can't be had.
    """

    def __init__(self, app: FastAPI, here: Address) -> None:
        """Serve ``here``.

        Raises:
            CannotServeError: it can't be had.
        """
        self._app = app
        self._here = Server(app, here, alone=True)
        self._beyond: Server | None = None
        self._failed: tuple[Address, float] | None = None
        self.notes: tuple[str, ...] = ()

    def follow(self, wanted: Callable[[], Address | None], stop: threading.Event) -> None:
        """Serve ``wanted`` too, whatever it is now, until ``stop``.

        Raises:
            CannotServeError: the first address is served no more.
        """
        try:
            while not stop.wait(LOOK_EVERY_S):
                if not self._here.lives:
                    raise CannotServeError("the pages have stopped answering on this machine")
                try:
                    now = wanted()
                except StoreUnavailableError:
                    continue  # what is served goes on
                self._look(now)
        finally:
            for server in (self._beyond, self._here):
                if server is not None:
                    server.stop()

    def _look(self, wanted: Address | None) -> None:
        if self._beyond is not None and (self._beyond.address != wanted or not self._beyond.lives):
            self._beyond.stop()
            self._beyond = None
        if wanted is None:
            self.notes, self._failed = (), None
        elif self._beyond is None and not self._just_failed(wanted):
            self._begin(wanted)

    def _begin(self, wanted: Address) -> None:
        try:
            self._beyond = Server(self._app, wanted, alone=False)
        except CannotServeError as error:
            words = f"The pages answer on this machine only: {error}."
            if self.notes != (words,):
                log.error("%s", words)
            self.notes, self._failed = (words,), (wanted, time.monotonic())
            return
        self.notes, self._failed = (), None
        log.info("the pages answer on %s, port %d", wanted.host, wanted.port)

    def _just_failed(self, wanted: Address) -> bool:
        if self._failed is None or self._failed[0] != wanted:
            return False
        return time.monotonic() - self._failed[1] < TRY_AGAIN_S


def certificate_of(file: Path | None, key: Path | None) -> Certificate | None:
    """The certificate in two files, or in one that holds both; None where none is wanted."""
    if file is None:
        return None
    both = (file, key or file)
    return Certificate(file=both[0], key=both[1], written=(_written(both[0]), _written(both[1])))


def _written(file: Path) -> float:
    try:
        return file.stat().st_mtime
    except OSError:
        return 0.0


def _try_certificate(certificate: Certificate) -> None:
    for file in (certificate.file, certificate.key):
        try:
            file.read_bytes()
        except OSError as error:
            raise CannotServeError(f"{file} can't be read ({error.strerror})") from error
    try:
        # An empty pass phrase: a key that needs one must not ask on the console.
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(
            certificate.file, certificate.key, password=""
        )
    except (ssl.SSLError, ValueError) as error:
        raise CannotServeError(
            f"{certificate.file} and {certificate.key} are not a certificate in PEM form with its "
            "key, without a pass phrase"
        ) from error


def _listen(address: Address, *, alone: bool) -> socket.socket:
    try:
        if alone:
            _bound(address, shared=False).close()
        listening = _bound(address, shared=True)
        listening.listen(_BACKLOG)
    except OSError as error:
        raise CannotServeError(
            f"{address.host}, port {address.port}: {error.strerror or error}"
        ) from error
    return listening


def _bound(address: Address, *, shared: bool) -> socket.socket:
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if shared:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        made.bind((address.host, address.port))
    except OSError:
        made.close()
        raise
    return made


def _told_when_to_end(app: ASGIApp, ending: Callable[[], bool]) -> ASGIApp:
    """Event streams ask ``request.state.ending`` whether their server is about to stop."""

    async def told(scope: Scope, receive: Receive, send: Send) -> None:
        scope.setdefault("state", {})["ending"] = ending
        await app(scope, receive, send)

    return told
