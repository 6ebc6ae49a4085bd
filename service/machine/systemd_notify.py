"""Tells systemd that this process is ready and lives: sd_notify(3), over its socket.

Without systemd (no ``NOTIFY_SOCKET``) nothing happens.
"""

import os
import socket
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from ssl import CERT_NONE, PROTOCOL_TLS_CLIENT, SSLContext

READY = "READY=1"
ALIVE = "WATCHDOG=1"

_ANSWERS_WITHIN_S = 10.0
_UNTIL_READY_S = 0.5


def notify(state: str, environment: Mapping[str, str] = os.environ) -> None:
    """Send ``state``; a systemd that does not listen is no fault of ours."""
    where = environment.get("NOTIFY_SOCKET", "")
    if not where.startswith(("/", "@")):
        return
    address = f"\0{where[1:]}" if where.startswith("@") else where
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sender:
            sender.sendto(state.encode(), address)
    except OSError:
        return


def watchdog_s(environment: Mapping[str, str] = os.environ) -> float | None:
    """How often systemd wants to hear [s]; None where it does not ask."""
    asked = environment.get("WATCHDOG_USEC", "")
    return int(asked) / 1e6 if asked.isdecimal() and int(asked) > 0 else None


def told_at_every_turn(environment: Mapping[str, str] = os.environ) -> Callable[[], None]:
    """To be called when all parts of a loop had their turn: ready at first, then alive."""
    states = iter([f"{READY}\n{ALIVE}"])
    return lambda: notify(next(states, ALIVE), environment)


@contextmanager
def told_while_answering(
    where: Callable[[], tuple[str, int, bool]], environment: Mapping[str, str] = os.environ
) -> Iterator[None]:
    """While inside, the pages are asked again and again, and systemd hears when they answer.

    Args:
        where: Host, port, and whether it is https; asked each time.
        environment: Where systemd's wishes stand.
    """
    if not environment.get("NOTIFY_SOCKET"):
        yield
        return
    every_s = (watchdog_s(environment) or 60.0) / 3
    over = threading.Event()

    def ask() -> None:
        tell, pause_s = told_at_every_turn(environment), _UNTIL_READY_S
        while not over.wait(pause_s):
            if answers(*where()):
                tell()
                pause_s = every_s

    asking = threading.Thread(target=ask, name="systemd-watchdog", daemon=True)
    asking.start()
    try:
        yield
    finally:
        over.set()
        asking.join(_ANSWERS_WITHIN_S)


def answers(host: str, port: int, https: bool = False) -> bool:
    """Whether the pages there answer at all; what they say of watch does not matter here."""
    reached = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)  # noqa: S104 - compared with
    connection = (
        HTTPSConnection(reached, port, timeout=_ANSWERS_WITHIN_S, context=_whoever_it_is())
        if https
        else HTTPConnection(reached, port, timeout=_ANSWERS_WITHIN_S)
    )
    try:
        connection.request("GET", "/health", headers={"Host": "127.0.0.1"})
        return connection.getresponse().status in {200, 503}
    except (OSError, HTTPException):
        return False
    finally:
        connection.close()


def _whoever_it_is() -> SSLContext:
    """It is ourselves, under a name that the certificate need not hold."""
    context = SSLContext(PROTOCOL_TLS_CLIENT)
    context.check_hostname = False
    context.verify_mode = CERT_NONE
    return context
