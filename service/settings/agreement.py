"""What the keys of the file say to each other: names that must exist, pairs that belong
together, a limit that its quantity can reach. Pure; faults already found are skipped.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from devices.formats.sender_name import name_fault
from service.nests.place import PlaceKind
from service.rules.settable import Settable
from service.rules.settables import BY_KIND
from service.settings.entry import Entry
from service.settings.faults import Fault
from service.settings.feed_agreement import feed_faults
from service.settings.limit_agreement import crossed_limits, limit_faults
from service.settings.written import NAME_ALLOWED, clock_time, sqlite_file

DEFAULT_PLACE = "shed"

# What a place may stand in; a shed and outdoors stand in nothing.
_AROUND = {
    PlaceKind.BOX: (PlaceKind.CAGE, PlaceKind.FLIGHT, PlaceKind.SHED),
    PlaceKind.CAGE: (PlaceKind.SHED, PlaceKind.FLIGHT),
    PlaceKind.FLIGHT: (PlaceKind.SHED, PlaceKind.OUTDOORS),
    PlaceKind.SHED: (),
    PlaceKind.OUTDOORS: (),
    PlaceKind.SURFACE: (PlaceKind.SHED, PlaceKind.FLIGHT),
}
_MOST_LISTED = 12


def disagreements(file: Entry) -> Iterator[Fault]:
    """Every fault that takes more than one key to see."""
    places = file.tables("place")
    names = [text for place in places if (text := place.text("id")) is not None]
    known = list(dict.fromkeys(names)) or [DEFAULT_PLACE]
    yield from _shed_faults(file)
    yield from _broker_faults(file)
    yield from _place_faults(places)
    yield from feed_faults(file.tables("feed"))
    yield from _sensor_faults(file.tables("sensor"), known)
    yield from twice(file.tables("ignored"), "device", "ignored sender")
    yield from _light_faults(file)
    yield from _light_step_faults(file)
    yield from _surface_faults(file)
    yield from _limit_faults(file, known)
    yield from _rule_faults(file.tables("rule"))
    yield from _store_faults(file)
    yield from _pages_faults(file)


def twice(entries: Sequence[Entry], key: str, what: str) -> Iterator[Fault]:
    """A fault for each value of ``key`` that an earlier entry has too."""
    seen: set[str] = set()
    for entry in entries:
        value = entry.text(key)
        if value in seen:
            yield entry.fault(key, f"one that no other {what} has", "is there twice")
        elif value is not None:
            seen.add(value)


def _shed_faults(file: Entry) -> Iterator[Fault]:
    shed = file.table("shed")
    pair = "latitude", "longitude"
    if shed is None or sum(shed.has(key) for key in pair) != 1:
        return
    absent = pair[shed.has(pair[0])]
    yield shed.missing(absent, "latitude and longitude together, or neither")


def _broker_faults(file: Entry) -> Iterator[Fault]:
    broker = file.table("broker")
    if broker and broker.has("password_file") and not broker.has("username"):
        yield broker.missing("username", "the user name that the password belongs to")
    if broker and broker.has("ca_file") and not (broker.text("url") or "mqtt").startswith("mqtts"):
        yield broker.fault("ca_file", "only beside a url that begins with mqtts://")


def _place_faults(places: Sequence[Entry]) -> Iterator[Fault]:
    yield from twice(places, "id", "place")
    kinds = {place.text("id"): place.text("kind") for place in places}
    for place in places:
        around, kind = place.text("in"), place.text("kind")
        if around is not None and around not in kinds:
            yield place.fault("in", _a_place(list(kinds)), "is no known place")
        elif around is not None and kind is not None:
            yield from _standing_faults(place, PlaceKind(kind), kinds)


def _standing_faults(
    place: Entry, kind: PlaceKind, kinds: dict[str | None, str | None]
) -> Iterator[Fault]:
    around = kinds[place.text("in")]
    if not _AROUND[kind]:
        yield place.fault("in", f"no in at all: {kind} stands in nothing")
    elif around is not None and around not in _AROUND[kind]:
        wanted = " or ".join(_AROUND[kind])
        yield place.fault("in", f"a {kind} stands in a {wanted}", f"is a {around}")


def _sensor_faults(sensors: Sequence[Entry], places: Sequence[str]) -> Iterator[Fault]:
    yield from twice(sensors, "device", "sensor")
    for sensor in sensors:
        yield from _unknown_place(sensor, places)
        interval, overdue = sensor.duration("interval"), sensor.duration("overdue_after")
        if interval and overdue and overdue < interval:
            yield sensor.fault("overdue_after", f"{sensor.text('interval')} (interval) or more")
        measures = sensor.table("measures")
        if measures is not None:
            yield from _measure_faults(measures)


def _measure_faults(measures: Entry) -> Iterator[Fault]:
    """Two names for one quantity would write two values into one series."""
    seen: set[str] = set()
    for key in measures.told:
        quantity = measures.text(key)
        if name_fault(key) is not None:
            yield measures.fault(key, f"a sender's name of {NAME_ALLOWED}", "can't be sent")
        if quantity in seen:
            yield measures.fault(key, "each quantity once in a sensor", "is there twice")
        elif quantity is not None:
            seen.add(quantity)


def _light_faults(file: Entry) -> Iterator[Fault]:
    light = file.table("light")
    if light is None:
        return
    if light.has("on") != light.has("off"):
        absent = "off" if light.has("on") else "on"
        yield light.missing(absent, "on and off together, or neither in a shed without lamps")
    on, off, dim = light.text("on"), light.text("off"), light.duration("dim")
    if on is None or off is None:
        return
    if on == off:
        yield light.fault("off", "another time than on")
    elif dim is not None and 2 * dim > _lit_for(on, off):
        yield light.fault("dim", "at most half the time from on to off")


def _light_step_faults(file: Entry) -> Iterator[Fault]:
    light = file.table("light")
    dim = (light.duration("dim") if light else None) or timedelta(0)
    seen: set[date] = set()
    for step in file.tables("light_step"):
        since, on, off = step.day("from"), step.text("on"), step.text("off")
        if since in seen:
            yield step.fault("from", "a date that no other light_step has", "is there twice")
        elif since is not None:
            seen.add(since)
        if on is None or off is None:
            continue
        if on == off:
            yield step.fault("off", "another time than on")
        elif 2 * dim > _lit_for(on, off):
            told = "a time at least twice the dim of [light] after on"
            yield step.fault("off", told, "leaves too little light to dim")


def _surface_faults(file: Entry) -> Iterator[Fault]:
    surface = file.table("surface")
    if surface is None:
        return
    either = "temperature_factor or below_air_c, one of the two"
    told = [key for key in ("temperature_factor", "below_air_c") if surface.has(key)]
    if not told:
        yield surface.missing("temperature_factor", either)
    elif len(told) == 2:
        yield surface.fault("below_air_c", either, "stands beside temperature_factor")


def _lit_for(on: str, off: str) -> timedelta:
    minutes = [60 * time.hour + time.minute for time in (clock_time(on), clock_time(off))]
    return timedelta(minutes=(minutes[1] - minutes[0]) % (24 * 60))


def _limit_faults(file: Entry, places: Sequence[str]) -> Iterator[Fault]:
    limits = file.tables("limit")
    yield from twice(limits, "id", "limit")
    for limit in limits:
        yield from _unknown_place(limit, places)
    yield from limit_faults(limits)
    yield from crossed_limits(file, places)


def _rule_faults(rules: Sequence[Entry]) -> Iterator[Fault]:
    yield from twice(rules, "kind", "rule")
    for rule in rules:
        kind = rule.text("kind")
        if kind is not None and kind not in BY_KIND:
            known = ", ".join(f'"{one}"' for one in BY_KIND)
            yield rule.fault("kind", known, "is no known kind of rule")
        elif kind is not None and (numbers := rule.table("numbers")) is not None:
            yield from _number_faults(numbers, BY_KIND[kind])


def _number_faults(numbers: Entry, settable: Settable) -> Iterator[Fault]:
    known = {number.key: number for number in settable.numbers}
    for key in numbers.told:
        told, number = numbers.number(key), known.get(key)
        if number is None:
            keys = ", ".join(known) or "none: this rule has no numbers"
            yield numbers.fault(key, keys, "is no number of this rule")
        elif told is not None and not number.least <= told <= number.most:
            span = f"a number from {number.least:g} to {number.most:g} [{number.unit}]"
            yield numbers.fault(key, span)


def _store_faults(file: Entry) -> Iterator[Fault]:
    store = file.table("store")
    if store is None:
        return
    readings = store.text("readings") or "sqlite:///readings.db"
    records = store.text("records") or "sqlite:///records.db"
    if records.startswith("sqlite") and sqlite_file(readings) == sqlite_file(records):
        key = "records" if store.has("records") else "readings"
        yield store.fault(key, "readings and records in two files")


def _pages_faults(file: Entry) -> Iterator[Fault]:
    pages = file.table("pages")
    pair = "certificate", "key"
    if pages is not None and sum(pages.has(key) for key in pair) == 1:
        absent = pair[pages.has(pair[0])]
        yield pages.missing(absent, "certificate and key together, or neither")


def _unknown_place(entry: Entry, places: Sequence[str]) -> Iterator[Fault]:
    place = entry.text("place")
    if place is not None and place not in places:
        yield entry.fault("place", _a_place(places), "is no known place")


def _a_place(places: Sequence[str | None]) -> str:
    known = [f'"{place}"' for place in places if place is not None]
    more = ", …" if len(known) > _MOST_LISTED else ""
    return f"the id of a place: {', '.join(known[:_MOST_LISTED])}{more}"
