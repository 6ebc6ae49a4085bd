"""The addresses are those that the kernel lists elsewhere too: /proc/net/fib_trie."""

import re
import socket
from pathlib import Path

import pytest

from service.machine.own_addresses import own_addresses, own_names


def addresses_of_the_routing_table() -> set[str]:
    """All local host entries of the kernel's routing table, loopback left out."""
    text = Path("/proc/net/fib_trie").read_text()
    found = re.findall(r"\|-- (\S+)\n\s+/32 host LOCAL", text)
    return {one for one in found if not one.startswith("127.")}


def test_every_address_is_local_to_the_kernel() -> None:
    known = addresses_of_the_routing_table()
    found = own_addresses()
    assert bool(found) == bool(known)  # a machine of its own has none, and says so
    assert set(found) <= known
    assert len(set(found)) == len(found)


def test_one_can_listen_on_every_address() -> None:
    for address in own_addresses():
        with socket.socket() as listening:
            listening.bind((address, 0))


def test_loopback_is_not_told() -> None:
    assert not [one for one in own_addresses() if one.startswith("127.")]


@pytest.mark.parametrize(
    ("called", "names"),
    [
        ("Hazel", ("hazel", "hazel.local")),
        ("hazel.home.arpa", ("hazel.home.arpa", "hazel", "hazel.local")),
        ("localhost", ()),
        ("", ()),
    ],
)
def test_the_machine_is_known_by_its_name_and_as_local(
    monkeypatch: pytest.MonkeyPatch, called: str, names: tuple[str, ...]
) -> None:
    # The name of the machine is outside this program: it alone is played.
    monkeypatch.setattr(socket, "gethostname", lambda: called)
    assert own_names() == names
