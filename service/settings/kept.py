"""What the file states and what was set on pages, as one document. Pure.

Tables are merged key by key, lists of tables entry by entry, an entry being known by its id.
The file wins; what it hides of the pages' settings stays kept, and is in force again once the
file states it no more. What a service must know before it can open its records comes from the
file alone.
"""

from collections.abc import Iterator, Mapping
from datetime import date

from service.settings.faults import MISSING
from service.store.kept_settings import Document

FixedPath = tuple[str, ...]
Table = Mapping[str, object]

NAMED_BY = {
    "place": "id",
    "feed": "topic",
    "sensor": "device",
    "limit": "id",
    "ignored": "device",
    "light_step": "from",
    "rule": "kind",
}
"""The lists of tables, each with the key that names its entries."""

_FILE_ALONE = {"store": None, "pages": frozenset({"port"})}
"""Tables, or keys of a table, that are not set on pages; None: the whole table."""


def merged(kept: Document, file: Document) -> dict[str, object]:
    """The file's document over the kept one. Neither is changed."""
    told = {name: _without_null(value) for name, value in kept.items() if value is not None}
    names = [*file, *(name for name in told if name not in file)]
    pairs = ((name, _merged(name, told, file)) for name in names)
    return {name: value for name, value in pairs if value is not MISSING}


def as_it_holds(kept: Document, file: Document) -> dict[str, object]:
    """As ``merged``, with what is meant where nothing is said of it.

    Limits that the file states stand in place of the built-in ones; those that were made on
    pages stand beside them, so that a change of one limit never takes the others away.
    """
    document = merged(kept, file)
    if _entries(document.get("limit")) and not _entries(file.get("limit")):
        limits = document.get("limits", {})
        if isinstance(limits, Mapping) and "built_in" not in limits:
            return {**document, "limits": {**limits, "built_in": True}}
    return document


def without_the_file(changed: Document, file: Document, kept: Document) -> dict[str, object]:
    """The document to keep, so that merged with the file it is ``changed``.

    ``kept`` is what was kept before: what the file hides of it goes on being kept.
    """
    found: dict[str, object] = {}
    for name in dict.fromkeys((*kept, *changed)):
        value = _not_the_files(name, changed, file, kept)
        if value is not MISSING and value not in ({}, []):
            found[name] = value
    return found


def fixed_paths(file: Document) -> frozenset[FixedPath]:
    """The paths that the file states: a key of a table, or an entry of a list by its name."""
    return frozenset(_paths(file))


def value_at(document: Document, path: FixedPath) -> object:
    """What stands at such a path; ``MISSING`` where nothing does."""
    value = document.get(path[0], MISSING)
    if len(path) == 1:
        return value
    if path[0] in NAMED_BY:
        entries = [one for one in _entries(value) if name_of(path[0], one) == path[1]]
        return entries[0] if entries else MISSING
    return value.get(path[1], MISSING) if isinstance(value, Mapping) else MISSING


def differing_paths(before: Document, after: Document) -> tuple[FixedPath, ...]:
    """The paths at which two documents differ, in the order of the documents."""
    paths = dict.fromkeys((*_paths(before), *_paths(after)))
    return tuple(path for path in paths if value_at(before, path) != value_at(after, path))


def entries_of(document: Document, section: str) -> list[Table]:
    """The tables of a list; empty where there is none."""
    return _entries(document.get(section))


def name_of(section: str, entry: object) -> str | None:
    """The name of an entry of a list; None where it bears none."""
    key = NAMED_BY.get(section, "")
    name = entry.get(key) if isinstance(entry, Mapping) else None
    if isinstance(name, date):  # the file's dates are dates, those of the pages are texts
        return name.isoformat()
    return name if isinstance(name, str) else None


def names_in(section: str, document: Document) -> frozenset[str]:
    """The names of the entries of a list."""
    found = (name_of(section, entry) for entry in entries_of(document, section))
    return frozenset(name for name in found if name is not None)


def is_for_the_file_alone(path: FixedPath) -> bool:
    """Whether a path is never set on pages."""
    keys = _FILE_ALONE.get(path[0], frozenset())
    return keys is None or path[1:2] in {(key,) for key in keys}


def _without_null(value: object) -> object:
    """JSON's null, which the file's form has not, says nothing of a key."""
    if isinstance(value, Mapping):
        return {key: _without_null(one) for key, one in value.items() if one is not None}
    return [_without_null(one) for one in value] if isinstance(value, list) else value


def _merged(section: str, kept: Document, file: Document) -> object:
    ours, files = kept.get(section, MISSING), file.get(section, MISSING)
    if section in NAMED_BY:
        return _merged_entries(section, ours, files)
    if isinstance(ours, Mapping):
        ours = {key: value for key, value in ours.items() if not _is_alone(section, key)}
        if isinstance(files, Mapping):
            return {**ours, **files}
        if not ours and files is MISSING:
            return MISSING
    return ours if files is MISSING else files


def _merged_entries(section: str, ours: object, files: object) -> object:
    if not isinstance(ours, list):
        return ours if files is MISSING else files
    if not isinstance(files, list):
        return ours if files is MISSING else files
    named = {name_of(section, entry) for entry in files} - {None}
    return [*files, *(entry for entry in ours if name_of(section, entry) not in named)]


def _not_the_files(section: str, changed: Document, file: Document, kept: Document) -> object:
    before, after = kept.get(section, MISSING), changed.get(section, MISSING)
    if section in NAMED_BY:
        named = names_in(section, file)
        hidden = [one for one in _entries(before) if name_of(section, one) in named]
        if not isinstance(after, list) and after is not MISSING:
            return after
        return [*hidden, *(one for one in _entries(after) if name_of(section, one) not in named)]
    files = file.get(section)
    stated = files if isinstance(files, Mapping) else {}

    def is_hidden(key: object) -> bool:
        return key in stated or _is_alone(section, str(key))

    if isinstance(after, Mapping) or after is MISSING:
        old = before if isinstance(before, Mapping) else {}
        new = after if isinstance(after, Mapping) else {}
        hidden_keys = {key: value for key, value in old.items() if is_hidden(key)}
        return hidden_keys | {key: value for key, value in new.items() if not is_hidden(key)}
    return after


def _is_alone(section: str, key: str) -> bool:
    return is_for_the_file_alone((section, key))


def _entries(value: object) -> list[Table]:
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []


def _paths(document: Document) -> Iterator[FixedPath]:
    for section, value in document.items():
        if section in NAMED_BY:
            names = (name_of(section, entry) for entry in _entries(value))
            yield from ((section, name) for name in names if name is not None)
        elif isinstance(value, Mapping):
            yield from ((section, str(key)) for key in value)
        else:
            yield (section,)
