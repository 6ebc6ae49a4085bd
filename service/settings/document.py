"""A document with something added, replaced or taken away; the one given is never changed."""

from collections.abc import Collection, Mapping

from service.errors import InputError
from service.nests.place import PlaceKind
from service.settings.agreement import DEFAULT_PLACE
from service.settings.kept import NAMED_BY, Table, entries_of, name_of, names_in
from service.store.kept_settings import Document

Changed = dict[str, object]


def with_keys(document: Document, section: str, keys: Mapping[str, object]) -> Changed:
    """A table with these keys; None takes a key away."""
    table = document.get(section)
    told = {**(table if isinstance(table, Mapping) else {}), **keys}
    return {**document, section: {key: value for key, value in told.items() if value is not None}}


def with_entry(document: Document, section: str, entry: Table) -> Changed:
    """A list with this entry, in the place of the one of the same name where there is one."""
    name = str(entry[NAMED_BY[section]])
    if name in names_in(section, document):
        return replaced(document, section, name, entry)
    return {**document, section: [*entries_of(document, section), entry]}


def replaced(document: Document, section: str, name: str, entry: Table) -> Changed:
    """A list with another entry in the place of the one of that name."""
    entries = entries_of(document, section)
    new = [entry if name_of(section, one) == name else one for one in entries]
    return {**document, section: new}


def without_entry(document: Document, section: str, name: str) -> Document:
    """A list without the entry of that name; the document itself where there is none."""
    if name not in names_in(section, document):
        return document
    kept = [one for one in entries_of(document, section) if name_of(section, one) != name]
    return {**document, section: kept}


def with_shed(document: Document) -> Document:
    """With the shed that is built in written out, where no place is."""
    if entries_of(document, "place"):
        return document
    return {**document, "place": [{"id": DEFAULT_PLACE, "kind": PlaceKind.SHED.value}]}


def removed(document: Document, places: Collection[str]) -> Document:
    """Without these places.

    Raises:
        InputError: one is not there, or something else hangs on it.
    """
    for place in places:
        if place not in names_in("place", document):
            raise InputError(f"there is no place {place}")
        held = what_hangs_on(document, place, but=places)
        if held is not None:
            raise InputError(f"{place} can't be removed: {held}")
    kept = [one for one in entries_of(document, "place") if one.get("id") not in places]
    return {**document, "place": kept}


def what_hangs_on(document: Document, place: str, *, but: Collection[str]) -> str | None:
    """What keeps a place from being removed, in words; ``but`` are places that go too."""
    for section, holds, words in (
        ("place", "in", "{} stands in it"),
        ("sensor", "place", "sensor {} is set up there"),
        ("limit", "place", "limit {} is set for it"),
    ):
        for entry in entries_of(document, section):
            name = name_of(section, entry)
            if entry.get(holds) == place and not (section == "place" and name in but):
                return words.format(name)
    return None
