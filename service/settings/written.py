"""How single values are written in the configuration, and what they become.

Every function raises ValueError on anything else; what is allowed is told in ``key_types``.
"""

import ipaddress
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from pathlib import Path
from typing import TypeVar
from urllib.parse import SplitResult, urlsplit
from zoneinfo import ZoneInfo

from devices.formats.sender_name import name_fault
from service.intake.broker_address import BrokerAddress
from service.intake.mqtt_topics import is_valid_filter
from service.nests.place import PlaceKind

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,31}")
_DURATION = re.compile(r"(\d{1,9}(?:\.\d{1,6})?) ?(s|min|h|d)", re.ASCII)
_CLOCK_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_FIRST_DAY, _LAST_DAY = date(2000, 1, 1), date(2199, 12, 31)
_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", re.ASCII)
_LONG_UNITS = (("d", timedelta(days=1)), ("h", timedelta(hours=1)), ("min", timedelta(minutes=1)))
_UNITS = {"s": "seconds", "min": "minutes", "h": "hours", "d": "days"}
_Word = TypeVar("_Word", bound=StrEnum)
_BROKER_PORTS = {"mqtt": 1883, "mqtts": 8883}

NAME_ALLOWED = "1 to 64 letters, digits and - : . _ /, beginning with a letter or digit"
HOST_ALLOWED = "a host name such as shed.example: letters, digits, - and ."
ID_ALLOWED = "1 to 32 of a to z, 0 to 9 and -, not beginning with -"


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("not a text")  # noqa: TRY004 - pydantic collects ValueErrors only
    return value


def place_or_limit_id(value: object) -> str:
    """A short name that can stand in a URL."""
    text = _text(value)
    if not _ID.fullmatch(text):
        raise ValueError(text)
    return text


def sender_name(value: object) -> str:
    """A name as decoding takes it: with any other the sensor would never be heard."""
    text = _text(value)
    if name_fault(text) is not None:
        raise ValueError(text)
    return text


def word_of(choices: type[_Word]) -> Callable[[object], _Word]:
    """Reads the words of an enumeration."""
    return lambda value: choices(_text(value))


def place_kind(value: object) -> PlaceKind:
    """What a place is. A salt jar is no place to set up: a trial makes it, and ends it."""
    kind = PlaceKind(_text(value))
    if kind is PlaceKind.JAR:
        raise ValueError(value)
    return kind


def duration(value: object) -> timedelta:
    """``"10 min"``: a number and s, min, h or d."""
    match = _DURATION.fullmatch(_text(value))
    if match is None:
        raise ValueError(value)
    number, unit = match.groups()
    return timedelta(**{_UNITS[unit]: float(number)})


def duration_between(least: str, most: str) -> Callable[[object], timedelta]:
    """Reads durations and refuses those outside."""
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


def local_date(value: object) -> date:
    """A day of the calendar: TOML's own date, or ``"2026-01-10"`` where dates are texts."""
    if isinstance(value, str) and _DATE.fullmatch(value):
        value = date.fromisoformat(value)
    if not isinstance(value, date) or isinstance(value, datetime):
        raise ValueError(value)  # noqa: TRY004 - pydantic collects ValueErrors only
    if not _FIRST_DAY <= value <= _LAST_DAY:
        raise ValueError(value)
    return value


def time_zone(value: object) -> ZoneInfo:
    """A zone of the IANA time zone database, by its name."""
    try:
        return ZoneInfo(_text(value))
    except (LookupError, OSError) as error:  # a folder of zones ("Europe") is an OSError
        raise ValueError(value) from error


def topic_filter(value: object) -> str:
    """An MQTT topic filter, as the listener may ask a broker for it."""
    text = _text(value)
    if not is_valid_filter(text):
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


def host_name(value: object) -> str:
    """A name of the DNS, as a browser sends it: labels of a to z, 0 to 9 and -.

    Source: RFC 1123 section 2.1.
    """
    text = _text(value).lower()
    if len(text) > 253 or not all(_LABEL.fullmatch(label) for label in text.split(".")):
        raise ValueError(value)
    return text


def in_words(value: object) -> object:  # noqa: PLR0911 - one for each kind of value
    """A value as it is written in the file: the other direction of the functions above."""
    if isinstance(value, timedelta):
        return _duration_in_words(value)
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, ZoneInfo | Path):
        return str(value)
    if isinstance(value, Mapping):
        return {key: in_words(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [in_words(item) for item in value]
    return value


def _duration_in_words(told: timedelta) -> str:
    for word, unit in _LONG_UNITS:
        if told and told % unit == timedelta(0):
            return f"{told // unit} {word}"
    seconds = f"{told.total_seconds():.6f}".rstrip("0").rstrip(".")
    return f"{seconds} s"


def is_loopback(bind: str) -> bool:
    """Whether only this machine can reach a bind address."""
    return bind == "localhost" or ipaddress.ip_address(bind).is_loopback


def one_line(value: str) -> str:
    """A text that people can read, on one line."""
    if not value.strip() or not value.isprintable():
        raise ValueError(value)
    return value
