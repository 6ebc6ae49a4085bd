"""A broker where the keeper named none: the one that is there, else one of our own.

``BrokerKeeping.step`` is called about once a second with what the keeper wishes; it does what
is due and tells how it stands, in words that a keeper can act on.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from service.intake.broker_standing import (
    FOLDER,
    BrokerStanding,
    read_standing,
    standing_file,
    write_standing,
)
from service.intake.mosquitto_process import LOOPBACK, find_mosquitto, is_free
from service.intake.mqtt_finding import Answer, Found, look_for_broker
from service.machine.mosquitto_conf import LOOPBACK_PORT, Doors
from service.machine.mosquitto_own import OwnBroker

LOOK_EVERY_S = 10.0
STOP_IT = (
    "Debian: sudo systemctl disable --now mosquitto; within a minute a broker of our own takes "
    "its place"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """``told`` is True where the keeper named a broker: then there is nothing to do here.

    ``let_in`` is True once phones and sensors of the house may reach this machine, at
    ``addresses``.
    """

    told: bool = False
    let_in: bool = False
    addresses: tuple[str, ...] = ()


class BrokerKeeping:
    """Looks after the broker of one data folder.

    Args:
        data: The data folder.
        port: Where a broker is looked for, and where our own listens.
        user: Whom mosquitto shall become when root starts it; None for an ordinary user.
        program: Finds mosquitto.
        say: Told what happened, in words.
    """

    def __init__(
        self,
        data: Path,
        *,
        port: int,
        user: str | None,
        say: Callable[[str], None],
        program: Callable[[], str | None] = find_mosquitto,
    ) -> None:
        self._data = data
        self._port = port
        self._user = user
        self._say = say
        self._program = program
        self._own: OwnBroker | None = None
        self._look_at = 0.0
        self._told: BrokerStanding | None = None

    def step(self, wish: Wish) -> None:
        """Do what is due, and write down how it stands when that has changed."""
        if wish.told:
            self.stop()
            standing_file(self._data).unlink(missing_ok=True)
            self._told = None
        elif self._own is not None:
            self._look_after_our_own(self._own, wish)
        elif time.monotonic() >= self._look_at:
            self._look_at = time.monotonic() + LOOK_EVERY_S
            self._look(wish)

    def stop(self) -> None:
        """End our own broker, where one runs."""
        if self._own is not None:
            self._own.stop()
            self._own = None
        self._look_at = 0.0

    def _look(self, wish: Wish) -> None:
        found = look_for_broker(LOOPBACK, self._port)
        if found.answer is not Answer.NOBODY:
            self._tell(self._of_another(found))
            return
        program = self._program()
        if program is None:
            self._tell(BrokerStanding(words=_nothing_there()))
            return
        self._own = OwnBroker(program, self._data / FOLDER, self._say)
        self._look_after_our_own(self._own, wish)

    def _of_another(self, found: Found) -> BrokerStanding:
        made_ready = found.answer is Answer.WANTS_A_PASSWORD and (
            look_for_broker(LOOPBACK, LOOPBACK_PORT).answer is Answer.LETS_US_IN
        )
        if not made_ready:
            return _standing_of_another(found, self._port)
        known = read_standing(self._data)
        if known is not None and known.ours and known.port == LOOPBACK_PORT:
            return known
        return _standing_of_another(Found(answer=Answer.LETS_US_IN), LOOPBACK_PORT)

    def _look_after_our_own(self, own: OwnBroker, wish: Wish) -> None:
        beyond = wish.addresses if wish.let_in else ()
        own.look_after(Doors(port=self._port, reached_at=beyond, user=self._user))
        self._tell(_standing_of_our_own(own, wish, self._port))
        if own.pid is None and not is_free(self._port):
            # Somebody else has taken the port meanwhile: perhaps a broker that can be used.
            self.stop()

    def _tell(self, standing: BrokerStanding) -> None:
        if standing == self._told:
            return
        write_standing(self._data, standing)
        self._told = standing
        self._say(standing.words)


def _nothing_there() -> str:
    return (
        "There is no broker on this machine, and mosquitto is not installed. Install it (Debian "
        "and Raspberry Pi OS: sudo apt install mosquitto), or give the address of a broker that "
        "you have."
    )


def _standing_of_another(found: Found, port: int) -> BrokerStanding:
    where = f"on this machine (port {port})"
    if found.answer is Answer.LETS_US_IN:
        return BrokerStanding(
            words=f"A broker {where} lets us in, and is used. It is not ours, so names and "
            "passwords of devices are made there. If the devices of the house can't reach it, "
            f"stop it ({STOP_IT}).",
            host=LOOPBACK,
            port=port,
        )
    if found.answer is Answer.WANTS_A_PASSWORD:
        words = (
            f"A broker {where} wants a name and a password. Give its address with both, or stop "
            f"it ({STOP_IT})."
        )
    elif found.answer is Answer.REFUSES:
        words = (
            f"A broker {where} refuses us ({found.words}). Give the address of another, or stop "
            f"this one ({STOP_IT})."
        )
    else:
        words = (
            f"Port {port} of this machine is taken by a program that is no broker. Stop that "
            "program, or give the address of a broker that you have."
        )
    return BrokerStanding(words=words)


def _standing_of_our_own(own: OwnBroker, wish: Wish, port: int) -> BrokerStanding:
    if own.doors is None:
        why = own.trouble or "it is being started"
        words = f"The broker of this shed does not run: {why}. It is tried again by itself."
        return BrokerStanding(words=words, port=port, device_port=port, ours=True)
    reached = own.doors.reached_at
    return BrokerStanding(
        words=_in_words(reached, wish, port),
        host=LOOPBACK,
        port=port,
        ours=True,
        reached_at=reached,
        device_port=port,
    )


def _in_words(reached: tuple[str, ...], wish: Wish, port: int) -> str:
    runs = f"A broker of our own runs on this machine (port {port})."
    if not wish.let_in:
        return f"{runs} It answers this machine only, until phones and sensors are let in."
    shut = [address for address in wish.addresses if address not in reached]
    told = [runs]
    if reached:
        where = " or ".join(reached)
        told.append(f"Sensors reach it at {where}, each with a name and a password of its own.")
    elif not shut:
        told.append("This machine has no address in the house just now: sensors can't reach it.")
    if shut:
        where = ", ".join(shut)
        told.append(f"At {where} sensors can't reach it: another program has port {port} there.")
    return " ".join(told)
