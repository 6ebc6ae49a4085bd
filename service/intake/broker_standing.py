"""How it stands with the broker where the keeper named none: found, our own, or missing.

Whoever looks after the broker writes it into a small file of the data folder; watch reads
from it where to connect, and the pages what to tell the keeper.
"""

import json
from dataclasses import asdict, dataclass
from pathlib import Path

from service.intake.broker_address import BrokerAddress

FOLDER = "broker"
FILE = "standing.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokerStanding:
    """``words`` say all of it in a sentence or two.

    ``host`` and ``port`` are where watch connects, None while there is no broker.
    ``ours`` is True when names and passwords can be given to devices: the broker heeds our
    accounts. ``reached_at`` are the addresses under which devices of the house reach it, with
    a name and a password, at ``device_port``; empty while it answers this machine only.
    ``tls_port`` is where it speaks TLS with the certificate in ``ca_file``, None when it
    does not.
    """

    words: str
    host: str | None = None
    port: int = 1883
    ours: bool = False
    reached_at: tuple[str, ...] = ()
    device_port: int = 1883
    tls_port: int | None = None
    ca_file: str | None = None


def standing_file(data: Path) -> Path:
    """Where the standing of this data folder's broker is written."""
    return data / FOLDER / FILE


def write_standing(data: Path, standing: BrokerStanding) -> None:
    """Replace the file at once. It can be found out anew, so it is not synced to the disk."""
    file = standing_file(data)
    file.parent.mkdir(parents=True, exist_ok=True)
    new = file.with_suffix(".new")
    new.write_text(json.dumps(asdict(standing), indent=1) + "\n")
    new.replace(file)


def read_standing(data: Path) -> BrokerStanding | None:
    """What is known; None where nobody looks after a broker for this folder."""
    try:
        told = json.loads(standing_file(data).read_text())
        return BrokerStanding(**{**told, "reached_at": tuple(told["reached_at"])})
    except (OSError, ValueError, TypeError, KeyError):
        return None


def broker_in_force(named: BrokerAddress, data: Path, *, told: bool) -> BrokerAddress:
    """Where watch connects: the broker that the keeper named, else the one that is there."""
    standing = None if told else read_standing(data)
    if standing is None or standing.host is None:
        return named
    return BrokerAddress(host=standing.host, port=standing.port)
