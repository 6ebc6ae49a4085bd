"""Connections that a stranger in the house can't use up.

A server that waits for ever for the rest of a request, on any number of connections, is held
up by whoever opens many and says nothing: the wall would go blind. So a request must be whole
within WHOLE_WITHIN_S, and one address, and all together, may hold so many connections.
"""

import asyncio
from ipaddress import ip_address
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

WHOLE_WITHIN_S = 20.0
"""For a form of 64 KB by a slow radio that is time enough."""

MOST_OF_ONE_ADDRESS = 64
"""A browser opens six. Phones that come in by one VPN share an address."""

MOST_IN_ALL = 256
"""A process may have 1,024 files open, where nothing else is said; the stores need some."""


class BoundedConnection(H11Protocol):
    """One connection; uvicorn makes them."""

    whole_within_s = WHOLE_WITHIN_S
    most_of_one_address = MOST_OF_ONE_ADDRESS
    most_in_all = MOST_IN_ALL
    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        super().connection_made(transport)
        if self._is_one_too_many():
            transport.abort()
        else:
            self._wait_for_the_rest()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._wait_for_the_rest()

    def connection_lost(self, exc: Exception | None) -> None:
        super().connection_lost(exc)
        self._wait_no_more()

    def _is_one_too_many(self) -> bool:
        if len(self.connections) > self.most_in_all:
            return True
        address = self.client[0] if self.client else ""
        if _is_loopback(address):
            return False
        held = sum(_address_of(one) == address for one in self.connections)
        return held > self.most_of_one_address

    def _wait_for_the_rest(self) -> None:
        """From the first byte on, or from the start: more bytes give no more time."""
        if self.conn.their_state not in {h11.IDLE, h11.SEND_BODY}:
            self._wait_no_more()
        elif self._waiting is None:
            self._waiting = self.loop.call_later(self.whole_within_s, self._give_up)

    def _wait_no_more(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        self.transport.abort()


def _address_of(connection: object) -> str:
    client = getattr(connection, "client", None)
    return client[0] if client else ""


def _is_loopback(address: str) -> bool:
    try:
        return ip_address(address.partition("%")[0]).is_loopback
    except ValueError:
        return False
