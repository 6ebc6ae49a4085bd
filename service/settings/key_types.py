"""The types of the keys: how each is read, and in plain words what is allowed.

The fault lines are made of these descriptions.
"""

from collections.abc import Iterable
from datetime import date, time, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, Field, PlainValidator

from devices.reading import Quantity
from devices.sensor import Format
from service.intake.broker_address import BrokerAddress
from service.nests.place import PlaceKind
from service.rules.limit import During, Priority, When
from service.settings.written import (
    HOST_ALLOWED,
    ID_ALLOWED,
    NAME_ALLOWED,
    bind_address,
    broker_address,
    clock_time,
    duration_between,
    host_name,
    json_pointer,
    local_date,
    mirror_url,
    one_line,
    place_kind,
    place_or_limit_id,
    records_place,
    sender_name,
    sqlite_file,
    time_zone,
    topic_filter,
    word_of,
)


def _one_of(choices: Iterable[StrEnum]) -> str:
    """The words of an enumeration, quoted, for a fault line."""
    return ", ".join(f'"{choice.value}"' for choice in choices)


Id = Annotated[str, PlainValidator(place_or_limit_id), Field(description=ID_ALLOWED)]
Name = Annotated[
    str, Field(max_length=60, description="a name of 1 to 60 signs"), AfterValidator(one_line)
]
Device = Annotated[
    str,
    PlainValidator(sender_name),
    Field(description=f"a device's name of {NAME_ALLOWED}"),
]
Interval = Annotated[
    timedelta,
    PlainValidator(duration_between("1 s", "7 d")),
    Field(description='a duration from "1 s" to "7 d": a number and s, min, h or d'),
]
OverdueAfter = Annotated[
    timedelta,
    PlainValidator(duration_between("1 s", "21 d")),
    Field(description='a duration from "1 s" to "21 d": a number and s, min, h or d'),
]
Delay = Annotated[
    timedelta,
    PlainValidator(duration_between("0 s", "7 d")),
    Field(description='a duration from "0 s" to "7 d": a number and s, min, h or d'),
]
Dimming = Annotated[
    timedelta,
    PlainValidator(duration_between("0 s", "12 h")),
    Field(description='a duration from "0 s" to "12 h": a number and s, min, h or d'),
]
Keeping = Annotated[
    timedelta,
    PlainValidator(duration_between("1 d", "36500 d")),
    Field(description='a duration from "1 d" to "36500 d": a number and s, min, h or d'),
]
ClockTime = Annotated[
    time, PlainValidator(clock_time), Field(description='a time of day "HH:MM", 00:00 to 23:59')
]
Day = Annotated[
    date,
    PlainValidator(local_date),
    Field(description="a date such as 2026-01-10, from 2000-01-01 to 2199-12-31"),
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
HostName = Annotated[str, PlainValidator(host_name), Field(description=HOST_ALLOWED)]
FileName = Annotated[
    str,
    Field(description="the name of a file, relative to the data folder"),
    AfterValidator(one_line),
]
QuantityWord = Annotated[
    Quantity, PlainValidator(word_of(Quantity)), Field(description=_one_of(Quantity))
]
FormatWord = Annotated[Format, PlainValidator(word_of(Format)), Field(description=_one_of(Format))]
KindWord = Annotated[
    PlaceKind,
    PlainValidator(place_kind),
    Field(description=_one_of(kind for kind in PlaceKind if kind is not PlaceKind.JAR)),
]
WhenWord = Annotated[When, PlainValidator(word_of(When)), Field(description=_one_of(When))]
DuringWord = Annotated[During, PlainValidator(word_of(During)), Field(description=_one_of(During))]
PriorityWord = Annotated[
    Priority, PlainValidator(word_of(Priority)), Field(description=_one_of(Priority))
]
