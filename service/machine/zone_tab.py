"""Time zones and where their principal places lie, from the tables of the tz database.

Source: ``zone.tab`` of the IANA tz database, whose head describes its columns: country code,
latitude and longitude in ISO 6709 (±DDMM±DDDMM or ±DDMMSS±DDDMMSS), name, comment; and
``tzdata.zi``, whose link lines are ``L TARGET LINK-NAME`` (zic(8)). Both come with the package
``tzdata``, so that they are there on every machine.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo

_ISO_6709 = re.compile(r"([+-]\d{4}(?:\d{2})?)([+-]\d{5}(?:\d{2})?)", re.ASCII)
UTC_NAME = "UTC"


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePlace:
    """A zone's principal place, in degrees; north and east positive."""

    zone: str
    city: str
    latitude: float
    longitude: float


def read_zone_tab(text: str) -> Iterator[ZonePlace]:
    """The lines of a ``zone.tab``; comments and lines that are not understood are left out."""
    for line in text.splitlines():
        columns = line.split("\t")
        if line.startswith("#") or len(columns) < 3:
            continue
        match = _ISO_6709.fullmatch(columns[1])
        if match is None:
            continue
        zone = columns[2]
        yield ZonePlace(
            zone=zone,
            city=zone.rpartition("/")[2].replace("_", " "),
            latitude=_degrees(match[1], 2),
            longitude=_degrees(match[2], 3),
        )


def read_links(text: str) -> dict[str, str]:
    """The other names of zones, from a ``tzdata.zi``: link name to target."""
    lines = (line.split() for line in text.splitlines() if line.startswith("L "))
    return {parts[2]: parts[1] for parts in lines if len(parts) == 3}


def _degrees(written: str, whole: int) -> float:
    """``+5222`` as degrees; ``whole`` is how many digits the degrees have."""
    sign, digits = written[0], written[1:].ljust(whole + 4, "0")
    parts = int(digits[:whole]), int(digits[whole : whole + 2]), int(digits[whole + 2 :])
    value = parts[0] + parts[1] / 60 + parts[2] / 3600
    return -value if sign == "-" else value


@cache
def zone_places() -> Mapping[str, ZonePlace]:
    """Every zone that has a place, by name, in the order of the alphabet."""
    places = sorted(read_zone_tab(_table("zone.tab")), key=lambda place: place.zone)
    return {place.zone: place for place in places if _is_known(place.zone)}


@cache
def zone_names() -> tuple[str, ...]:
    """The names to choose from: the zones that have a place, and UTC."""
    return (*zone_places(), UTC_NAME)


def place_of_zone(zone: str) -> ZonePlace | None:
    """The principal place of a zone, also by one of its other names; None without one."""
    links = _links()
    for _ in range(4):  # a link may lead to another one
        found = zone_places().get(zone)
        if found is not None or zone not in links:
            return found
        zone = links[zone]
    return None


@cache
def _links() -> Mapping[str, str]:
    return read_links(_table("tzdata.zi"))


def _table(name: str) -> str:
    return (files("tzdata") / "zoneinfo" / name).read_text(encoding="utf-8")


def _is_known(zone: str) -> bool:
    try:
        ZoneInfo(zone)
    except (LookupError, ValueError, OSError):
        return False
    return True
