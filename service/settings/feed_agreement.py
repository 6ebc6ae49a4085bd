"""Which keys a feed needs by its format, and which say nothing in it. Pure."""

from collections.abc import Iterator, Sequence

from devices.reading import Quantity
from devices.sensor import Format
from devices.units import allowed_units
from service.settings.entry import Entry
from service.settings.faults import Fault

ALWAYS_ON = "clutchweather/+/senml"

_NEEDS = {
    Format.SENML: (),
    Format.JSON: ("device", "fields"),
    Format.NUMBER: ("device", "quantity", "unit"),
}
_TAKES = {
    Format.SENML: {"device"},
    Format.JSON: {"device", "fields", "time"},
    Format.NUMBER: {"device", "quantity", "unit"},
}
_BY_FORMAT = {"device", "fields", "time", "quantity", "unit"}
_DEVICE_KEYS = ("level", "pointer", "name")


def feed_faults(feeds: Sequence[Entry]) -> Iterator[Fault]:
    """Every fault of feeds that takes more than one key to see."""
    seen: set[str] = set()
    for feed in feeds:
        topic, word = feed.text("topic"), feed.text("format")
        if topic in seen:
            yield feed.fault("topic", "one that no other feed has", "is there twice")
        elif topic is not None:
            seen.add(topic)
        if topic == ALWAYS_ON and word not in {None, Format.SENML}:
            yield feed.fault("format", f'"senml", which {ALWAYS_ON} always is')
        elif word is not None:
            yield from _format_faults(feed, Format(word))
        for measured in (feed, *feed.tables("fields")):
            yield from _unit_faults(measured)
        device = feed.table("device")
        if device is not None:
            yield from _device_faults(device, word, topic)


def _format_faults(feed: Entry, form: Format) -> Iterator[Fault]:
    for key in _NEEDS[form]:
        if not feed.has(key) or feed.told[key] == []:
            needed = ", ".join(_NEEDS[form])
            yield feed.missing(key, f'a feed with format = "{form}" needs {needed}')
    for key in sorted(_BY_FORMAT - _TAKES[form]):
        if feed.has(key):
            takes = ", ".join(sorted(_TAKES[form]))
            yield feed.fault(key, f'beside format = "{form}" only {takes}')


def _unit_faults(measured: Entry) -> Iterator[Fault]:
    quantity, unit = measured.text("quantity"), measured.text("unit")
    if quantity is not None and unit is not None:
        allowed = allowed_units(Quantity(quantity))
        if unit not in allowed:
            yield measured.fault("unit", f"{', '.join(allowed)} for {quantity}")


def _device_faults(device: Entry, word: str | None, topic: str | None) -> Iterator[Fault]:
    given = [key for key in _DEVICE_KEYS if device.has(key)]
    if not given:
        yield device.missing("level", "one of level, pointer and name")
    for key in given[1:]:
        yield device.fault(key, "one of level, pointer and name", f"stands beside {given[0]}")
    if device.has("pointer") and word in {Format.SENML, Format.NUMBER}:
        yield device.fault("pointer", f'level or name; format = "{word}" has no pointers')
    level, levels = device.number("level"), (topic or "#").split("/")
    if level is not None and levels[-1] != "#" and level > len(levels):
        yield device.fault("level", f'1 to {len(levels)}, the levels of "{topic}"')
