"""How single values are written in the configuration, and what they become.

Each type carries in its description, in plain words, what is allowed: the fault lines are
made of these. Every function raises ValueError on anything else.
"""

import ipaddress
import re
from collections.abc import Callable
from datetime import time, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Annotated, TypeVar
from urllib.parse import SplitResult, urlsplit
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, Field, PlainValidator

from devices.reading import Quantity
from devices.sensor import Format
from service.intake.broker_address import BrokerAddress
from service.nests.place import PlaceKind
from service.rules.limit import Priority, When

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,31}")
_DURATION = re.compile(r"(\d{1,9}(?:\.\d{1,6})?) ?(s|min|h|d)", re.ASCII)
_CLOCK_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)", re.ASCII)
_DEVICE = re.compile(r"[^\s+#\x00-\x1f\x7f]{1,128}")
_UNITS = {"s": "seconds", "min": "minutes", "h": "hours", "d": "days"}
_Word = TypeVar("_Word", bound=StrEnum)
_BROKER_PORTS = {"mqtt": 1883, "mqtts": 8883}

# MQTT 5.0 section 1.5.4: a string holds at most 65,535 bytes and no U+0000.
_LONGEST_TOPIC_BYTES = 65_535


def one_of(choices: type[StrEnum]) -> str:
    """The words of an enumeration, quoted, for a fault line."""
    return ", ".join(f'"{choice.value}"' for choice in choices)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("not a text")  # noqa: TRY004 - pydantic collects ValueErrors only
    return value


def _matching(pattern: re.Pattern[str]) -> Callable[[object], str]:
    def read(value: object) -> str:
        text = _text(value)
        if not pattern.fullmatch(text):
            raise ValueError(text)
        return text

    return read


def _word_of(choices: type[_Word]) -> Callable[[object], _Word]:
    return lambda value: choices(_text(value))


def duration(value: object) -> timedelta:
    """``"10 min"``: a number and s, min, h or d."""
    match = _DURATION.fullmatch(_text(value))
    if match is None:
        raise ValueError(value)
    number, unit = match.groups()
    return timedelta(**{_UNITS[unit]: float(number)})


def _duration_from(least: str, most: str) -> Callable[[object], timedelta]:
    bounds = duration(least), duration(most)

    def read(value: object) -> timedelta:
        told = duration(value)
        if not bounds[0] <= told <= bounds[1]:
            raise ValueError(value)
        return told

    return read


def clock_time(value: object) -> time:
    """``"06:30"``, a time of day."""
    match = _CLOCK_TIME.fullmatch(_text(value))
    if match is None:
        raise ValueError(value)
    return time(int(match[1]), int(match[2]))


def time_zone(value: object) -> ZoneInfo:
    """A zone of the IANA time zone database, by its name."""
    try:
        return ZoneInfo(_text(value))
    except (LookupError, OSError) as error:  # a folder of zones ("Europe") is an OSError
        raise ValueError(value) from error


def topic_filter(value: object) -> str:
    """An MQTT topic filter (MQTT 5.0, section 4.7): ``+`` and ``#`` alone in their level.

    ``$share/…`` is refused: with a shared subscription another client would be given some
    of the messages.
    """
    text = _text(value)
    levels = text.split("/")
    wild = [at for at, level in enumerate(levels) if "#" in level]
    sound = (
        0 < len(text.encode()) <= _LONGEST_TOPIC_BYTES
        and "\0" not in text
        and all(level == "+" for level in levels if "+" in level)
        and all(levels[at] == "#" and at == len(levels) - 1 for at in wild)
        and levels[0] != "$share"
    )
    if not sound:
        raise ValueError(text)
    return text


def json_pointer(value: object) -> str:
    """RFC 6901 section 3: empty, or parts that begin with ``/``; ``~`` only as ~0 or ~1."""
    text = _text(value)
    if (text and not text.startswith("/")) or re.search(r"~(?![01])", text):
        raise ValueError(text)
    return text


def _split_url(value: object) -> SplitResult:
    url = urlsplit(_text(value))
    if url.query or url.fragment or any(sign.isspace() for sign in url.netloc):
        raise ValueError(value)
    if url.port == 0:  # reading .port raises ValueError beyond 65535
        raise ValueError(value)
    return url


def broker_address(value: object) -> BrokerAddress:
    """``mqtt://host[:1883]`` or ``mqtts://host[:8883]``.

    A user name or a password in the URL is refused: it would be shown wherever the
    address is; they have keys of their own.
    """
    url = _split_url(value)
    if url.scheme not in _BROKER_PORTS or not url.hostname or "@" in url.netloc:
        raise ValueError(value)
    if url.path not in {"", "/"}:
        raise ValueError(value)
    port = url.port or _BROKER_PORTS[url.scheme]
    return BrokerAddress(host=url.hostname, port=port, tls=url.scheme == "mqtts")


def sqlite_file(value: object) -> Path:
    """``sqlite:///name`` relative to the data folder, ``sqlite:////name`` from the root."""
    text = _text(value)
    name = text.removeprefix("sqlite:///")
    if name == text or re.search(r"[?#%\x00-\x1f]", name) or name.endswith("/"):
        raise ValueError(value)
    if name in {"", ".", ".."} or name.startswith(":"):
        raise ValueError(value)
    return Path(name)


def records_place(value: object) -> Path | None:
    """The file of the records; None where they shall be in PostgreSQL."""
    if not _text(value).startswith("postgresql"):
        return sqlite_file(value)
    url = _split_url(value)
    if url.scheme != "postgresql+psycopg" or len(url.path) < 2:
        raise ValueError(value)
    return None


def mirror_url(value: object) -> str:
    """``influx+http://host:port/database`` or ``influx+https://…``."""
    url = _split_url(value)
    if url.scheme not in {"influx+http", "influx+https"} or not url.hostname:
        raise ValueError(value)
    if len(url.path) < 2:
        raise ValueError(value)
    return _text(value)


def bind_address(value: object) -> str:
    """An IP address of this machine, or ``localhost``."""
    text = _text(value)
    return text if text == "localhost" else str(ipaddress.ip_address(text))


def is_loopback(bind: str) -> bool:
    """Whether only this machine can reach a bind address."""
    return bind == "localhost" or ipaddress.ip_address(bind).is_loopback


def _one_line(value: str) -> str:
    if not value.strip() or not value.isprintable():
        raise ValueError(value)
    return value


ID_ALLOWED = "1 to 32 of a to z, 0 to 9 and -, not beginning with -"

Id = Annotated[str, PlainValidator(_matching(_ID)), Field(description=ID_ALLOWED)]
Name = Annotated[
    str, Field(max_length=60, description="a name of 1 to 60 signs"), AfterValidator(_one_line)
]
Device = Annotated[
    str,
    PlainValidator(_matching(_DEVICE)),
    Field(description="a device's name of 1 to 128 signs without blanks, + and #"),
]
Interval = Annotated[
    timedelta,
    PlainValidator(_duration_from("1 s", "7 d")),
    Field(description='a duration from "1 s" to "7 d": a number and s, min, h or d'),
]
OverdueAfter = Annotated[
    timedelta,
    PlainValidator(_duration_from("1 s", "21 d")),
    Field(description='a duration from "1 s" to "21 d": a number and s, min, h or d'),
]
Delay = Annotated[
    timedelta,
    PlainValidator(_duration_from("0 s", "7 d")),
    Field(description='a duration from "0 s" to "7 d": a number and s, min, h or d'),
]
Dimming = Annotated[
    timedelta,
    PlainValidator(_duration_from("0 s", "12 h")),
    Field(description='a duration from "0 s" to "12 h": a number and s, min, h or d'),
]
Keeping = Annotated[
    timedelta,
    PlainValidator(_duration_from("1 d", "36500 d")),
    Field(description='a duration from "1 d" to "36500 d": a number and s, min, h or d'),
]
ClockTime = Annotated[
    time, PlainValidator(clock_time), Field(description='a time of day "HH:MM", 00:00 to 23:59')
]
Zone = Annotated[
    ZoneInfo,
    PlainValidator(time_zone),
    Field(description='a name of the IANA time zones, such as "Europe/Amsterdam" or "UTC"'),
]
TopicFilter = Annotated[
    str,
    PlainValidator(topic_filter),
    Field(description="an MQTT topic filter: + alone in its level, # alone in the last one"),
]
Pointer = Annotated[
    str,
    PlainValidator(json_pointer),
    Field(description='a JSON pointer (RFC 6901), such as "/id"'),
]
BrokerUrl = Annotated[
    BrokerAddress,
    PlainValidator(broker_address),
    Field(
        description='"mqtt://host", "mqtt://host:port" or "mqtts://host:port"'
        " (user name and password have keys of their own)"
    ),
]
SqliteFile = Annotated[
    Path,
    PlainValidator(sqlite_file),
    Field(description='"sqlite:///file" (relative to the data folder) or "sqlite:////folder/file"'),
]
Records = Annotated[
    Path | None,
    PlainValidator(records_place),
    Field(description='"sqlite:///file" or "postgresql+psycopg://user@host:port/database"'),
]
Mirror = Annotated[
    str,
    PlainValidator(mirror_url),
    Field(description='"influx+http://host:port/database" or "influx+https://…"'),
]
Bind = Annotated[
    str, PlainValidator(bind_address), Field(description='an IP address, or "localhost"')
]
FileName = Annotated[
    str,
    Field(description="the name of a file, relative to the data folder"),
    AfterValidator(_one_line),
]
QuantityWord = Annotated[
    Quantity, PlainValidator(_word_of(Quantity)), Field(description=one_of(Quantity))
]
FormatWord = Annotated[Format, PlainValidator(_word_of(Format)), Field(description=one_of(Format))]
KindWord = Annotated[
    PlaceKind, PlainValidator(_word_of(PlaceKind)), Field(description=one_of(PlaceKind))
]
WhenWord = Annotated[When, PlainValidator(_word_of(When)), Field(description=one_of(When))]
PriorityWord = Annotated[
    Priority, PlainValidator(_word_of(Priority)), Field(description=one_of(Priority))
]
