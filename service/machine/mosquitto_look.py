"""Whether mosquitto lets anybody in who is not on this machine (mosquitto.conf(5))."""

import ipaddress
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from service.machine.finding import Finding, cannot_tell, look, well
from service.machine.machine import Machine

FILES = ("etc/mosquitto/mosquitto.conf", "etc/mosquitto/conf.d/*.conf")


@dataclass(slots=True)
class _Listener:
    address: str | None
    where: str
    anonymous: bool | None = None


def open_listeners(lines: Iterable[str]) -> list[str]:
    """Listeners that let strangers in from beyond this machine, as they stand in the file.

    Without any listener mosquitto 2 answers its own machine only. ``allow_anonymous`` counts
    for all listeners unless ``per_listener_settings`` is true; then for the one it follows.
    """
    listeners: list[_Listener] = []
    everywhere = False
    for line in lines:
        word, _, rest = line.strip().partition(" ")
        rest = rest.strip()
        if word in {"listener", "port"} and rest:
            listeners.append(_Listener(address=_address(word, rest), where=f"{word} {rest}"))
        elif word == "bind_address" and listeners and listeners[-1].where.startswith("port"):
            listeners[-1].address = rest
        elif word == "allow_anonymous":
            everywhere = everywhere or rest == "true"
            if listeners:
                listeners[-1].anonymous = rest == "true"
        elif word == "per_listener_settings" and rest == "true":
            return _open_one_by_one(lines)
    return [one.where for one in listeners if everywhere and not _is_of_this_machine(one.address)]


def _open_one_by_one(lines: Iterable[str]) -> list[str]:
    listeners: list[_Listener] = []
    for line in lines:
        word, _, rest = line.strip().partition(" ")
        rest = rest.strip()
        if word == "listener" and rest:
            listeners.append(_Listener(address=_address(word, rest), where=f"{word} {rest}"))
        elif word == "allow_anonymous" and listeners:
            listeners[-1].anonymous = rest == "true"
    return [
        one.where for one in listeners if one.anonymous and not _is_of_this_machine(one.address)
    ]


def look_at_mosquitto(machine: Machine, ours: Iterable[Path]) -> Finding | None:
    """``ours`` are configurations of a broker that we run. None without any mosquitto."""
    what = "strangers at the broker"
    files = [file for pattern in FILES for file in machine.find(pattern)]
    lots = [files, *([file] for file in ours if file.is_file())]
    try:
        texts = [
            [line for file in lot for line in file.read_text(errors="replace").splitlines()]
            for lot in lots
            if lot
        ]
    except OSError as error:
        return cannot_tell(
            what,
            f"{error.filename} can't be read: {error.strerror}.",
            "Run this with sudo, or look there for allow_anonymous yourself.",
        )
    if not texts:
        return None
    found = [where for lines in texts for where in open_listeners(lines)]
    if found:
        return look(
            what,
            f"mosquitto lets anybody in without a password, from other machines too: {found[0]}.",
            "Set allow_anonymous false there, or let it listen on 127.0.0.1 only; devices get "
            "their own passwords on /sensors.",
        )
    return well(what, "mosquitto lets nobody in from other machines without a password.")


def _address(word: str, rest: str) -> str | None:
    """``listener PORT [ADDRESS]``; a port of 0 is a socket file of this machine."""
    parts = rest.split()
    if word == "listener" and parts[0] == "0":
        return "localhost"
    return parts[1] if word == "listener" and len(parts) > 1 else None


def _is_of_this_machine(address: str | None) -> bool:
    if address is None:
        return False
    try:
        return address == "localhost" or ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
