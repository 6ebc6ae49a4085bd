"""A broker of our own on this machine, for demonstrations and for trying things out.

mosquitto where it is installed, with ``private_broker.conf``; otherwise the broker inside
the ``iotcore`` package, which forgets everything when it stops and is used with MQTT 3.1.1.
Both listen on 127.0.0.1 only and end with this process.
"""

import os
import socket
from pathlib import Path
from string import Template
from types import TracebackType
from typing import Protocol, Self

from service.errors import InputError
from service.intake.broker_address import BrokerAddress
from service.intake.mosquitto_process import (
    CONFIGURATION,
    LOOPBACK,
    STARTS_WITHIN_S,
    BrokerDidNotStartError,
    find_mosquitto,
    is_free,
    run_mosquitto,
)

_IOTCORE_TOML = """\
id = 0

[router]
id = 0
max_connections = 100
max_outgoing_packet_count = 200
max_segment_size = 10485760
max_segment_count = 10

[v4.1]
name = "loopback"
listen = "$listen"
next_connection_delay_ms = 1

[v4.1.connections]
connection_timeout_ms = 5000
max_payload_size = 250000
max_inflight_count = 1000
dynamic_filters = true
"""


class _Running(Protocol):
    def stop(self) -> None: ...


class PrivateBroker:
    """Runs from ``__enter__`` to ``__exit__``, or from ``start`` to ``stop``.

    Args:
        folder: Where it keeps its files; made when missing, and best its own.
        port: Where it listens; 0 takes a free port.
        program: The mosquitto to run; None looks for one, "" does without.
    """

    def __init__(self, folder: Path, *, port: int = 0, program: str | None = None) -> None:
        self._folder = folder
        self._wanted_port = port
        self._program = find_mosquitto() if program is None else program or None
        self._running: _Running | None = None
        self.port = port

    @property
    def kind(self) -> str:
        """Which broker it is: ``mosquitto`` or ``iotcore``."""
        return "mosquitto" if self._program else "iotcore"

    @property
    def address(self) -> BrokerAddress:
        """Where it can be reached."""
        return BrokerAddress(host=LOOPBACK, port=self.port)

    def start(self) -> None:
        """Start, and return when it accepts connections.

        Raises:
            InputError: the port that was asked for is taken.
            BrokerDidNotStartError: the program ended, or did not listen in time.
        """
        self._folder.mkdir(parents=True, exist_ok=True)
        self.port = self._wanted_port or free_port()
        if not is_free(self.port):
            raise InputError(
                f"port {self.port} on {LOOPBACK} is taken by another program; choose another port"
            )
        if self._program is None:
            self._running = _start_iotcore(self._folder, self.port)
        else:
            self._running = _start_mosquitto(self._program, self._folder, self.port)

    def stop(self) -> None:
        """End it; mosquitto keeps its sessions and messages in the folder."""
        if self._running is not None:
            self._running.stop()
            self._running = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()


def free_port() -> int:
    """A port that nobody listened on a moment ago."""
    with socket.socket() as probe:
        probe.bind((LOOPBACK, 0))
        port: int = probe.getsockname()[1]
        return port


def _start_mosquitto(program: str, folder: Path, port: int) -> _Running:
    template = Path(__file__).with_name("private_broker.conf").read_text()
    (folder / CONFIGURATION).write_text(
        Template(template).substitute(
            port=port,
            folder=folder.resolve(),
            # Started by root it would become another user, who can't write into our folder.
            user="user root" if os.geteuid() == 0 else "",
        )
    )
    return run_mosquitto(program, folder, port)


def _start_iotcore(folder: Path, port: int) -> _Running:
    # Not there on every kind of machine, and not needed where mosquitto is.
    try:
        from iotcore import Broker  # noqa: PLC0415
    except ImportError as error:
        raise BrokerDidNotStartError(
            "there is no broker on this machine: install mosquitto (Debian: apt install mosquitto)"
        ) from error
    configuration = folder / "iotcore.toml"
    configuration.write_text(Template(_IOTCORE_TOML).substitute(listen=f"{LOOPBACK}:{port}"))
    broker = Broker(config_path=str(configuration))
    try:
        broker.start(timeout=STARTS_WITHIN_S)
    except (OSError, RuntimeError) as error:
        raise BrokerDidNotStartError(f"the iotcore broker did not start: {error}") from error
    return broker
