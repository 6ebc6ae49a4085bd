"""What mosquitto is told: who may come in where, and how much it keeps. Pure.

The words are those of mosquitto.conf(5). Two configurations: of a broker that we run
ourselves, and of the system's mosquitto beside Debian's own file, which already states
persistence and where it is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

LOOPBACK = "127.0.0.1"
LOOPBACK_PORT = 1884
"""Where the system's mosquitto answers this machine without a password: 1883 is for devices."""

_ROOM = """\
# Room for a whole day: 10 messages a second for 24 hours, and a guard for the memory. With
# mosquitto's own limit of 1000 the newest readings are dropped after minutes, silently.
max_queued_messages 900000
max_queued_bytes 200000000

# How many messages go out before the answers come in; the usual 20 would halt a listener
# that answers only for what it has stored.
max_inflight_messages 1000

# No sensor sends more than this in one message [bytes].
message_size_limit 250000

# What came in the last 30 s before a power cut is lost.
autosave_interval 30
"""

_PER_LISTENER = """\
# Each listener has its own rules: what is allowed on one is not allowed on another.
per_listener_settings true
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """What a TLS listener shows; ``port`` is where it listens."""

    certificate_file: Path
    key_file: Path
    port: int = 8883


@dataclass(frozen=True, slots=True, kw_only=True)
class Doors:
    """Where a broker of our own lets in whom.

    ``port`` is the same everywhere. ``reached_at`` are addresses of this machine beyond
    loopback; there everybody needs a name and a password. ``user`` is whom mosquitto shall
    become when root starts it.
    """

    port: int
    reached_at: tuple[str, ...] = ()
    user: str | None = None


def own_configuration(doors: Doors, folder: Path, passwords: Path, access: Path) -> str:
    """For a mosquitto that we run, with all of its files in ``folder``."""
    beyond = [
        _listener(f"{doors.port} {address}", passwords, access) for address in doors.reached_at
    ]
    return "\n".join(
        [
            "# The broker of this shed, made anew at every start by Clutchweather.",
            "",
            _PER_LISTENER,
            *([f"user {doors.user}", ""] if doors.user else []),
            _open_to_this_machine(doors.port),
            *beyond,
            _ROOM,
            f"persistence true\npersistence_location {folder}/\n",
            "log_dest stderr\nlog_type error\nlog_type warning\n",
        ]
    )


def system_configuration(
    passwords: Path, access: Path, *, port: int = 1883, tls: Certificate | None = None
) -> str:
    """For ``/etc/mosquitto/conf.d``, beside Debian's own file."""
    encrypted = [] if tls is None else [_encrypted(tls, passwords, access)]
    return "\n".join(
        [
            "# Made by `clutchweather install-units`, which replaces it; put what is yours into\n"
            "# a file of its own.",
            "",
            _PER_LISTENER,
            "# This machine itself, without a password.",
            _open_to_this_machine(LOOPBACK_PORT),
            "# The devices of the shed, from anywhere in the house, each with its own name and\n"
            "# password.",
            _listener(str(port), passwords, access),
            *encrypted,
            _ROOM,
        ]
    )


def settings_that_clash(files: Sequence[tuple[str, str]]) -> list[str]:
    """What other files of conf.d state that ours states too, one sentence each.

    Args:
        files: Name and text of each.
    """
    ours = {
        *("listener", "port", "bind_address", "per_listener_settings", "allow_anonymous"),
        *("password_file", "acl_file", "max_queued_messages", "max_queued_bytes"),
    }
    return [
        f"{name}, line {number}: {line.strip()}"
        for name, text in files
        for number, line in enumerate(text.splitlines(), start=1)
        if line.split() and line.split()[0] in ours
    ]


def _open_to_this_machine(port: int) -> str:
    return f"listener {port} {LOOPBACK}\nallow_anonymous true\n"


def _listener(where: str, passwords: Path, access: Path) -> str:
    return (
        f"listener {where}\nallow_anonymous false\npassword_file {passwords}\nacl_file {access}\n"
    )


def _encrypted(tls: Certificate, passwords: Path, access: Path) -> str:
    return (
        "# The same, encrypted, for devices that know our certificate.\n"
        f"{_listener(str(tls.port), passwords, access)}"
        f"certfile {tls.certificate_file}\nkeyfile {tls.key_file}\n"
    )
