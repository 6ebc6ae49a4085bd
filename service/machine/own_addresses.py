"""Under which addresses and names other devices of the house find this machine.

IPv4 only: every phone and tablet of a house has it, and people can type it. Linux tells an
interface's address by the request SIOCGIFADDR (netdevice(7)).
"""

import fcntl
import socket
import struct
from ipaddress import IPv4Address

_SIOCGIFADDR = 0x8915  # linux/sockios.h
_NAME_BYTES = 15  # IFNAMSIZ less its final nought
_NOWHERE = ("192.0.2.1", 9)  # RFC 5737: documentation only. Connecting UDP sends nothing.


def own_addresses() -> tuple[str, ...]:
    """Addresses beyond loopback; first the one that this machine speaks from. May be empty."""
    found = [address for _, name in socket.if_nameindex() if (address := _address_of(name))]
    first = _speaking_from()
    ordered = [first, *found] if first else found
    return tuple(dict.fromkeys(one for one in ordered if not IPv4Address(one).is_loopback))


def own_names() -> tuple[str, ...]:
    """The names of this machine: as it calls itself, and as multicast DNS tells it.

    Source of ``.local``: RFC 6762, section 3.
    """
    name = socket.gethostname().lower()
    if not name or name == "localhost":
        return ()
    plain = name.partition(".")[0]
    return tuple(dict.fromkeys((name, plain, f"{plain}.local")))


def _address_of(interface: str) -> str | None:
    asked = struct.pack("256s", interface.encode()[:_NAME_BYTES])
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as any_socket:
        try:
            told = fcntl.ioctl(any_socket.fileno(), _SIOCGIFADDR, asked)
        except OSError:
            return None  # down, or without IPv4
    return socket.inet_ntoa(told[20:24])


def _speaking_from() -> str | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
        except OSError:
            return None  # no way out: a machine of its own
        address: str = probe.getsockname()[0]
    return address
