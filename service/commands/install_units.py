"""``clutchweather install-units``: the service runs by itself, also after a power cut."""

import os
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from service.errors import InputError
from service.intake.broker_standing import FOLDER, BrokerStanding, write_standing
from service.machine.broker_accounts import BrokerAccounts
from service.machine.broker_reached import WHEREVER
from service.machine.mosquitto_conf import (
    LOOPBACK,
    LOOPBACK_PORT,
    Certificate,
    settings_that_clash,
    system_configuration,
)
from service.machine.openssl_certificates import (
    CA_CERTIFICATE,
    CERTIFICATE,
    KEY,
    make_certificates,
)
from service.machine.own_addresses import own_addresses, own_names
from service.machine.systemd_control import OrderFailedError, Systemd, make_venv
from service.machine.systemd_units import DATA, ENABLED, NAME, unit_files
from service.machine.versions import Versions
from service.machine.whole_file import replace_file

Say = Callable[[str], None]

SOURCE = Path(__file__).parents[2]
BROKER_CONFIGURATION = f"etc/mosquitto/conf.d/{NAME}.conf"
BROKER_GROUP = "mosquitto"
_USER = re.compile(r"[a-z_][a-z0-9_-]{0,30}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The machine, or a folder in the place of one.

    ``orders`` is False where files are only written below a folder, to be looked at: then
    nothing is started, stopped or handed to another owner.
    """

    root: Path = Path("/")
    orders: bool = True
    systemd: Systemd = field(default_factory=Systemd)
    make_venv: Callable[[Path], None] = make_venv

    @property
    def real(self) -> bool:
        """Whether it is this machine."""
        return self.root == Path("/")

    @property
    def data(self) -> Path:
        """The data folder of the service there."""
        return self.root / DATA.removeprefix("/")

    @property
    def versions(self) -> Versions:
        """The versions of the program there."""
        return Versions(self.root / "opt" / NAME)


def refuse_who_may_not(place: Place, command: str) -> None:
    """Refuse an ordinary user, who can't change the machine.

    Raises:
        InputError: with what to type.
    """
    if place.real and os.geteuid() != 0:
        raise InputError(
            f"{command} changes the machine, so it must be run by root: "
            f"sudo ./service/start {command}"
        )
    if not place.root.is_dir():
        raise InputError(f"--root {place.root}: there is no such folder")


def run_install_units(
    place: Place, *, user: str, tls: bool, now: datetime, say: Say, source: Path = SOURCE
) -> None:
    """Put the program, its units and the broker's configuration in place, and start them.

    It can be run again: what is there is renewed, and nothing is lost.

    Raises:
        InputError: not root, a name that can't be a user's, or settings of the broker that clash.
        OrderFailedError, VenvNotMadeError, CertificateNotMadeError: the machine failed.
    """
    refuse_who_may_not(place, "install-units")
    if not _USER.fullmatch(user) or user == "root":
        raise InputError(
            f'--user "{user}": allowed is a name of small letters, digits, - and _, and not root'
        )
    has_broker = (place.root / "etc/mosquitto").is_dir()
    if has_broker:
        _refuse_what_clashes(place)
    if place.versions.current() is None:
        say("Copying the program to /opt/clutchweather and making it ready ...")
        place.versions.use(place.versions.put(source, now, place.make_venv))
    for name, text in unit_files(user).items():
        _put(place.root / name, text)
    _make_data_folder(place, user)
    if has_broker:
        _make_broker_ready(place, user, tls=tls)
    if place.orders:
        _start(place, has_broker=has_broker)
    _tell(place, say, has_broker=has_broker, tls=tls)


def _put(file: Path, text: str) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    replace_file(file, text, 0o644)


def _refuse_what_clashes(place: Place) -> None:
    ours = place.root / BROKER_CONFIGURATION
    others = sorted(file for file in ours.parent.glob("*.conf") if file != ours)
    clashes = settings_that_clash([(str(file), file.read_text()) for file in others])
    if clashes:
        raise InputError(
            "Another file states for mosquitto what Clutchweather has to state, and mosquitto "
            "would not start:\n  " + "\n  ".join(clashes) + "\nTake these lines out (or give the "
            "file another ending than .conf) and run this again. Nothing was changed."
        )


def _make_data_folder(place: Place, user: str) -> None:
    """Its owner is the service; whoever else passes through sees nothing."""
    if place.orders:
        place.systemd.run("systemd-sysusers")
    place.data.mkdir(parents=True, exist_ok=True)
    place.data.chmod(0o711)
    if place.orders:
        # All of it: what root restored from a backup belongs to root.
        place.systemd.run("chown", "-R", f"{user}:{user}", str(place.data))


def _make_broker_ready(place: Place, user: str, *, tls: bool) -> None:
    folder = place.data / FOLDER
    accounts = BrokerAccounts(folder)
    accounts.make_ready()
    certificate = None
    if tls:
        make_certificates(folder, [*own_names(), *own_addresses(), LOOPBACK])
        certificate = Certificate(
            certificate_file=Path(DATA) / FOLDER / CERTIFICATE,
            key_file=Path(DATA) / FOLDER / KEY,
        )
    said = Path(DATA) / FOLDER
    text = system_configuration(
        said / accounts.passwords_file.name, said / accounts.access_file.name, tls=certificate
    )
    _put(place.root / BROKER_CONFIGURATION, text)
    write_standing(place.data, _standing(certificate))
    if place.orders:
        hand_to_the_broker(place, folder, user)


def hand_to_the_broker(place: Place, folder: Path, user: str) -> None:
    """The service owns the folder; the broker's group may read, and reads what is new too."""
    place.systemd.run("chown", "-R", f"{user}:{BROKER_GROUP}", str(folder))
    folder.chmod(0o2750)


def _standing(certificate: Certificate | None) -> BrokerStanding:
    return BrokerStanding(
        words="mosquitto of this machine is the broker. Sensors reach it at port 1883, each with "
        "a name and a password of its own.",
        host=LOOPBACK,
        port=LOOPBACK_PORT,
        ours=True,
        reached_at=(WHEREVER,),
        tls_port=None if certificate is None else certificate.port,
        ca_file=None if certificate is None else f"{DATA}/{FOLDER}/{CA_CERTIFICATE}",
    )


def _start(place: Place, *, has_broker: bool) -> None:
    control = place.systemd.control
    control("daemon-reload")
    control("restart", "systemd-journald.service")
    if has_broker:
        control("enable", "mosquitto.service")
        control("restart", "mosquitto.service")
    control("enable", "--now", *ENABLED)


def _tell(place: Place, say: Say, *, has_broker: bool, tls: bool) -> None:
    where = "" if place.orders else f" below {place.root}; nothing was started"
    say(f"The service is in place{where}. It starts by itself, after a power cut too.")
    say(f"Its data lie in {DATA}; every night at half past three a backup is made there.")
    say(
        "Data of a shed that ran with `up` stay where they are. To take them along, as the user "
        "who ran it: `clutchweather backup FILE.tar.gz`; then stop both units and run, as root, "
        f"`clutchweather restore FILE.tar.gz --data {DATA}`, and this command again."
    )
    if not has_broker:
        say(
            "Look at this: mosquitto is not installed, so no sensor is heard. sudo apt install "
            "mosquitto, then run this command again."
        )
    if tls:
        say(
            f"Devices that speak TLS (port 8883) know the broker by {DATA}/{FOLDER}/"
            f"{CA_CERTIFICATE}. Never hand out ca.key."
        )
    if place.orders and not place.systemd.is_active(["clutchweather-watch.service"]):
        raise OrderFailedError(
            "watch did not start; see why: journalctl -u clutchweather-watch -n 30"
        )
