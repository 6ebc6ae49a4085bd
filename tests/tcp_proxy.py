"""A proxy between a listener and its broker that can go deaf or change bytes on the way."""

import socket
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Self

from service.intake.broker_address import BrokerAddress


class TcpProxy:
    """Passes bytes on, unless ``swallowing``; ``to_client`` may change what the broker says."""

    def __init__(
        self, target: BrokerAddress, to_client: Callable[[bytes], bytes] = lambda sent: sent
    ) -> None:
        self.swallowing = False
        self.connections = 0
        self._target = (target.host, target.port)
        self._to_client = to_client
        self._sockets: list[socket.socket] = []
        self._threads: list[threading.Thread] = []
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.address = BrokerAddress(host="127.0.0.1", port=self._listener.getsockname()[1])

    def __enter__(self) -> Self:
        self._run(self._accept)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        for one in self._sockets:
            one.close()
        for thread in self._threads:
            thread.join(3)

    def _run(self, work: Callable[..., None], *arguments: object) -> None:
        thread = threading.Thread(target=work, args=arguments, daemon=True)
        self._threads.append(thread)
        thread.start()

    def _accept(self) -> None:
        while True:
            try:
                client, _ = self._listener.accept()
            except OSError:
                return
            self.connections += 1
            try:
                broker = socket.create_connection(self._target, timeout=3)
            except OSError:
                client.close()
                continue
            for one in (client, broker):
                one.settimeout(0.2)
                self._sockets.append(one)
            self._run(self._pass_on, client, broker, lambda sent: sent)
            self._run(self._pass_on, broker, client, self._to_client)

    def _pass_on(
        self, source: socket.socket, target: socket.socket, change: Callable[[bytes], bytes]
    ) -> None:
        while True:
            try:
                sent = source.recv(65536)
                if not self.swallowing:
                    if not sent:
                        target.shutdown(socket.SHUT_RDWR)
                        return
                    target.sendall(change(sent))
                elif not sent:
                    return
            except TimeoutError:
                continue
            except OSError:
                return
