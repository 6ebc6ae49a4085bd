"""What the keeper told us about senders: which feed speaks which format, who stands where."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum

from devices.reading import Quantity

OVERDUE_INTERVALS = 3


class Format(StrEnum):
    """How the payloads of a feed are written."""

    SENML = "senml"
    JSON = "json"
    NUMBER = "number"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """Where one quantity stands in a JSON object (RFC 6901 pointer)."""

    pointer: str
    quantity: Quantity
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """Topics that share a format. At most one ``device_…`` is given.

    ``device_level`` counts topic levels from 1. ``quantity`` and ``unit`` are for plain
    numbers, ``fields`` and ``time_pointer`` for JSON objects.
    """

    topic: str
    format: Format
    device_level: int | None = None
    device_pointer: str | None = None
    device_name: str | None = None
    fields: tuple[Field, ...] = ()
    time_pointer: str | None = None
    quantity: Quantity | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensor:
    """A sender with a place. ``measures`` maps the sender's names to quantities.

    ``name`` is what people read; empty where nobody gave one.
    """

    device: str
    place: str
    interval: timedelta
    overdue_after: timedelta
    measures: Mapping[str, Quantity] = field(default_factory=dict)
    name: str = ""
