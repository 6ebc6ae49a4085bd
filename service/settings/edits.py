"""The changes that can be made on pages, each as a pure function of the document.

An edit says in a sentence what it does and which paths it sets. It gets the whole document,
the file's part and the pages' (``kept.merged``), and returns the changed one; whether the
file allows that, and whether the result is sound, is seen to by ``editing``.
"""

from collections.abc import Mapping
from datetime import date, time, timedelta
from enum import Enum
from typing import Final
from zoneinfo import ZoneInfo

from devices.reading import Quantity
from service.errors import InputError
from service.nests.place import PlaceKind
from service.rules.limit import Limit
from service.settings.document import (
    removed,
    replaced,
    with_entry,
    with_keys,
    with_shed,
    without_entry,
)
from service.settings.editing import Edit
from service.settings.kept import Table, entries_of, name_of, names_in, value_at
from service.settings.tables import LimitTable
from service.settings.walk_of_cages import with_cages
from service.settings.written import in_words
from service.store.kept_settings import Document


class Keep(Enum):
    """Says of an argument that what it stands for is to stay as it is."""

    AS_IT_IS = "as it is"


KEEP: Final = Keep.AS_IT_IS


def shed(
    *,
    name: str | Keep | None = KEEP,
    latitude: float | Keep | None = KEEP,
    longitude: float | Keep | None = KEEP,
    timezone: str | ZoneInfo | Keep | None = KEEP,
) -> Edit:
    """The shed's name, where it stands and its zone; None takes away."""
    keys = {"name": name, "latitude": latitude, "longitude": longitude, "timezone": timezone}
    return _table("shed", keys, "The shed was set up anew.")


def lamps(*, on: time | str, off: time | str, dim: timedelta | str | None = None) -> Edit:
    """When the lamps burn; without ``dim`` they do not dim."""
    keys = {"on": on, "off": off, "dim": dim}
    return _table("light", keys, f"The lamps burn from {in_words(on)} to {in_words(off)}.")


def no_lamps() -> Edit:
    """A shed without lamps on a clock."""
    return _table("light", {"on": None, "off": None, "dim": None}, "The shed has no lamps.")


def lamp_steps(steps: Mapping[date, tuple[time, time]]) -> Edit:
    """The steps of the lamps' programme, all that shall be: from which day on, on and off.

    One that the file states stays in any case, and is refused where it is to differ.
    """
    entries = [
        _entry({"from": since, "on": on, "off": off}) for since, (on, off) in sorted(steps.items())
    ]

    def apply(document: Document) -> Document:
        # An entry that stays is left as it is written: the file's dates are no texts.
        held = {name_of("light_step", one): one for one in entries_of(document, "light_step")}
        new = [_as_held(held.get(str(entry["from"])), entry) for entry in entries]
        return {**document, "light_step": new}

    return Edit(
        what=f"Steps of light: {len(entries)}.",
        touches=frozenset(("light_step", str(entry["from"])) for entry in entries),
        apply=apply,
    )


def surface(*, temperature_factor: float | None = None, below_air_c: float | None = None) -> Edit:
    """How cold the coldest surface is, by one of the two; by none it is not known."""
    known = temperature_factor is not None or below_air_c is not None
    keys = {"temperature_factor": temperature_factor, "below_air_c": below_air_c}
    told = "was told" if known else "is not known any more"
    return _table("surface", keys, f"The coldest surface of the shed {told}.")


def heater(thermostat_c: float | None) -> Edit:
    """What a heater's thermostat is set to [°C]; None for a shed without one."""
    told = "The shed has no heater." if thermostat_c is None else f"Heater set to {thermostat_c}°."
    return _table("heater", {"thermostat_c": thermostat_c}, told)


def limit(told: Limit, *, on: bool = True) -> Edit:
    """A limit in these terms, whole, in place of the one of its id; ``on`` False keeps it off."""
    keys = [name for name in LimitTable.model_fields if name != "on"]
    entry = _entry({key: getattr(told, key) for key in keys})
    return Edit(
        what=f"Limit {told.id} was {'set' if on else 'switched off'}.",
        touches=frozenset({("limit", told.id)}),
        apply=lambda document: with_entry(
            with_shed(document), "limit", entry if on else {**entry, "on": False}
        ),
    )


def forget_limit(id: str) -> Edit:  # noqa: A002 - the key of the file
    """What was set of a limit holds no more: a built-in one is as usual again, any other gone."""

    def apply(document: Document) -> Document:
        _there(document, "limit", id)
        return without_entry(document, "limit", id)

    return Edit(
        what=f"Limit {id} is as built in, or gone.",
        touches=frozenset({("limit", id)}),
        apply=apply,
    )


def built_in_limits(on: bool | None) -> Edit:
    """Whether the built-in limits hold; None: as they do where nothing is said of them."""
    told = "left as they are" if on is None else f"switched {'on' if on else 'off'}"
    return _table("limits", {"built_in": on}, f"The built-in limits were {told}.")


def rule(kind: str, *, on: bool | None = None, numbers: Mapping[str, float] | None = None) -> Edit:
    """What is set of a kind of rule, whole: what is left out is as usual."""
    entry = _entry({"kind": kind, "on": on, "numbers": numbers or None})
    as_usual = len(entry) == 1

    def apply(document: Document) -> Document:
        if as_usual:
            return without_entry(document, "rule", kind)
        return with_entry(document, "rule", entry)

    return Edit(
        what=f"Rule {kind} was set{' as usual' if as_usual else ''}.",
        touches=frozenset({("rule", kind)}),
        apply=apply,
    )


def broker(
    *,
    url: str,
    username: str | None = None,
    password_file: str | None = None,
    ca_file: str | None = None,
) -> Edit:
    """Where the broker is, whole: what is left out is taken away."""
    keys = {"url": url, "username": username, "password_file": password_file, "ca_file": ca_file}
    return _table("broker", keys, "The broker was told anew.")


def no_broker() -> Edit:
    """No broker is named any more: the one on this machine is used, or one of our own."""
    keys = dict.fromkeys(("url", "username", "password_file", "ca_file"))
    return _table("broker", keys, "The broker of this machine is used again.")


def let_in(bind: str) -> Edit:
    """The address at which the pages answer."""
    return _table("pages", {"bind": bind}, f"The pages answer at {bind}.")


def cages(*, count: int, boxes_each: int = 1) -> Edit:
    """So many cages, all alike, in the shed: cage-1 and on, with box-1 and on.

    What is there stays as it is, under the names it bears; cages and boxes beyond are removed.

    Raises (when applied):
        InputError: something hangs on one that would be removed, or an id is taken.
    """
    boxes = f"{boxes_each} {'box' if boxes_each == 1 else 'boxes'}"
    return Edit(
        what=f"Cages, all alike: {count}, with {boxes} each.",
        touches=frozenset(),
        apply=lambda document: with_cages(document, count, boxes_each),
    )


def place(
    id: str,  # noqa: A002 - the key of the file
    *,
    kind: PlaceKind,
    name: str | None = None,
    within: str | None = None,
    order: int | None = None,
) -> Edit:
    """A new place, or one that is there in new terms."""
    entry = _entry({"id": id, "kind": kind, "name": name, "in": within, "order": order})
    return Edit(
        what=f"Place {name or id} was set up.",
        touches=frozenset({("place", id)}),
        apply=lambda document: with_entry(with_shed(document), "place", entry),
    )


def rename_place(id: str, name: str) -> Edit:  # noqa: A002 - as above
    """Another name for a place; its id and its history stay."""
    return Edit(
        what=f"Place {id} is called {name}.",
        touches=frozenset({("place", id)}),
        apply=lambda document: _changed(with_shed(document), "place", id, {"name": name}),
    )


def remove_place(id: str) -> Edit:  # noqa: A002 - as above
    """Take a place away.

    Raises (when applied):
        InputError: something stands in it or is set up there.
    """
    return Edit(
        what=f"Place {id} was removed.",
        touches=frozenset({("place", id)}),
        apply=lambda document: removed(with_shed(document), (id,)),
    )


def adopt(
    *,
    device: str,
    place: str,
    interval: timedelta | str,
    name: str | None = None,
    measures: Mapping[str, Quantity | str] | None = None,
    overdue_after: timedelta | str | None = None,
) -> Edit:
    """Give a sender a place: from then on it is a sensor."""
    entry = _entry(
        {
            "device": device,
            "place": place,
            "name": name,
            "interval": interval,
            "overdue_after": overdue_after,
            "measures": measures or None,
        }
    )

    def apply(document: Document) -> Document:
        heeded = without_entry(document, "ignored", device)
        return with_entry(heeded, "sensor", entry)

    return Edit(
        what=f"Sensor {device} was set up at {place}.",
        touches=frozenset({("sensor", device)}),
        apply=apply,
    )


def change_sensor(
    device: str,
    *,
    place: str | Keep = KEEP,
    name: str | Keep | None = KEEP,
    interval: timedelta | str | Keep = KEEP,
    overdue_after: timedelta | str | Keep | None = KEEP,
    measures: Mapping[str, Quantity | str] | Keep | None = KEEP,
) -> Edit:
    """A sensor in new terms; None takes away, what is left out stays."""
    keys = _told(
        {
            "place": place,
            "name": name,
            "interval": interval,
            "overdue_after": overdue_after,
            "measures": measures,
        }
    )
    return Edit(
        what=f"Sensor {device} was changed.",
        touches=frozenset({("sensor", device)}),
        apply=lambda document: _changed(document, "sensor", device, keys),
    )


def remove_sensor(device: str) -> Edit:
    """Set a sensor up no more; its readings stay."""

    def apply(document: Document) -> Document:
        _there(document, "sensor", device)
        return without_entry(document, "sensor", device)

    return Edit(
        what=f"Sensor {device} is set up no more.",
        touches=frozenset({("sensor", device)}),
        apply=apply,
    )


def replace_sensor(*, old: str, new: str) -> Edit:
    """``new`` takes the place and the terms of ``old``, which is set up no more.

    Raises (when applied):
        InputError: ``old`` is no sensor, or ``new`` is one already.
    """

    def apply(document: Document) -> Document:
        entry = _there(document, "sensor", old)
        if new in names_in("sensor", document):
            raise InputError(f"{new} is set up already; remove it first, or take another")
        heeded = without_entry(document, "ignored", new)
        return replaced(heeded, "sensor", old, {**entry, "device": new})

    return Edit(
        what=f"Sensor {new} took the place of {old}.",
        touches=frozenset({("sensor", old), ("sensor", new)}),
        apply=apply,
    )


def describe_feed(feed: Table) -> Edit:
    """Add a feed, or replace the one of that topic; written as in the file."""
    topic = str(feed.get("topic"))
    return Edit(
        what=f"The messages under {topic} were described.",
        touches=frozenset({("feed", topic)}),
        apply=lambda document: with_entry(document, "feed", _entry(feed)),
    )


def forget_feed(topic: str) -> Edit:
    """Listen to a topic no more."""

    def apply(document: Document) -> Document:
        _there(document, "feed", topic)
        return without_entry(document, "feed", topic)

    return Edit(
        what=f"The messages under {topic} are listened to no more.",
        touches=frozenset({("feed", topic)}),
        apply=apply,
    )


def ignore(device: str) -> Edit:
    """Hear no more of a sender.

    Raises (when applied):
        InputError: it is set up as a sensor.
    """

    def apply(document: Document) -> Document:
        if device in names_in("sensor", document):
            raise InputError(f"{device} is set up as a sensor; remove the sensor first")
        return with_entry(document, "ignored", {"device": device})

    return Edit(
        what=f"Sender {device} is ignored.",
        touches=frozenset({("ignored", device)}),
        apply=apply,
    )


def heed(device: str) -> Edit:
    """Hear of an ignored sender again."""
    return Edit(
        what=f"Sender {device} is ignored no more.",
        touches=frozenset({("ignored", device)}),
        apply=lambda document: without_entry(document, "ignored", device),
    )


def _table(section: str, keys: Mapping[str, object], what: str) -> Edit:
    told = _told(keys)
    return Edit(
        what=what,
        touches=frozenset((section, key) for key in told),
        apply=lambda document: with_keys(document, section, told),
    )


def _told(keys: Mapping[str, object]) -> dict[str, object]:
    """Without what stays as it is, and as it is written; None stands for taking away."""
    return {key: in_words(value) for key, value in keys.items() if value is not KEEP}


def _entry(keys: Mapping[str, object]) -> dict[str, object]:
    return {key: in_words(value) for key, value in keys.items() if value is not None}


def _as_held(held: Table | None, entry: Table) -> Table:
    same = held is not None and in_words(held) == entry
    return held if same and held is not None else entry


def _changed(
    document: Document, section: str, name: str, keys: Mapping[str, object]
) -> dict[str, object]:
    entry = {**_there(document, section, name), **keys}
    told = {key: value for key, value in entry.items() if value is not None}
    return replaced(document, section, name, told)


def _there(document: Document, section: str, name: str) -> Table:
    entry = value_at(document, (section, name))
    if not isinstance(entry, Mapping):
        known = ", ".join(str(name_of(section, one)) for one in entries_of(document, section))
        raise InputError(f"there is no {section} {name}; there is {known or 'none at all'}")
    return entry
