"""Which of the settings made on pages are in force beside what the file states. Pure.

What the file states is sound by itself. An entry of the pages that does not agree with it is
left out and told, one by one, so that the others stay in force; it stays kept.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from service.settings.agreement import disagreements
from service.settings.build import build_settings
from service.settings.entry import whole_file
from service.settings.faults import MISSING, Fault, fault_line, in_toml
from service.settings.kept import NAMED_BY, as_it_holds, fixed_paths, name_of, names_in
from service.settings.settings import Settings
from service.settings.shape import read_shape
from service.settings.stated import Stated
from service.settings.tables import ConfigurationFile
from service.store.kept_settings import Document, Kept

NOTHING_KEPT = Kept(document={}, revision=0)
MADE_ON_PAGES = "settings made on pages"


@dataclass(frozen=True, slots=True, kw_only=True)
class Examined:
    """A document as tables (None where its shape is at fault), and all its faults."""

    tables: ConfigurationFile | None
    faults: tuple[Fault, ...]


def examine(document: Document) -> Examined:
    """Put every rule of the configuration to a document."""
    shape = read_shape(dict(document))
    if isinstance(shape, ConfigurationFile):
        return Examined(tables=shape, faults=tuple(disagreements(whole_file(document, ()))))
    faults = (*shape, *disagreements(whole_file(document, shape)))
    return Examined(tables=None, faults=faults)


def settings_of(stated: Stated, data: Path, kept: Kept = NOTHING_KEPT) -> Settings:
    """The settings: the file over those of its kept entries that agree with it.

    What is left out is told in ``Settings.faults``. Never raises for what is kept.
    """
    in_force, left_out = _agreeing(kept.document, stated.document)
    document = as_it_holds(in_force, stated.document)
    tables = examine(document).tables
    if tables is None:
        raise ValueError(f"{stated.file} was never found sound")
    settings = build_settings(tables, data, stated.file)
    return replace(
        settings,
        faults=(*stated.faults, *left_out),
        fixed=fixed_paths(stated.document),
        revision=kept.revision,
        broker_told=bool(document.get("broker")),
    )


def essence(fault: Fault, document: Document) -> tuple[object, ...]:
    """A fault without the numbers that entries have by their order: what it is, told anew."""
    path = fault.path
    if len(path) > 1 and isinstance(path[1], int):
        entries = document.get(str(path[0]))
        name = name_of(str(path[0]), entries[path[1]]) if isinstance(entries, list) else None
        path = (path[0], *(() if name is None else (name,)), *path[2:])
    return (path, fault.problem, None if fault.value is MISSING else in_toml(fault.value))


def _agreeing(kept: Document, file: Document) -> tuple[Document, tuple[str, ...]]:
    """The part of ``kept`` that is sound beside the file, and what was left out, in words."""
    told: list[str] = []
    while kept:
        document = as_it_holds(kept, file)
        faults = examine(document).faults
        if not faults:
            break
        line = fault_line(faults[0], MADE_ON_PAGES, document)
        told.append(f"{line}; it stays kept, and is not in force")
        kept = _with_less(kept, file, faults)
    return kept, tuple(dict.fromkeys(told))


def _with_less(kept: Document, file: Document, faults: Sequence[Fault]) -> Document:
    """Without what the first fault is in: a key where that will do, else the entry or table.

    What depends on it is found at fault in its turn, and nothing else is. Where the fault is
    in what the file states, something kept has brought it: an entry, or a list of them.
    """
    first = faults[0]
    at = _entry_at_fault(kept, file, first)
    if at is not None:
        return _entry_with_less(kept, file, faults, at)
    section = str(first.path[0])
    if section not in NAMED_BY and section in kept:
        return _table_with_less(kept, file, faults, section)
    return next(_without_the_cause(kept, file, first), {})


def _entry_with_less(kept: Document, file: Document, faults: Sequence[Fault], at: int) -> Document:
    path = faults[0].path
    if len(path) > 2:
        fewer = _without(kept, str(path[0]), at, key=str(path[2]))
        if _count(fewer, file) < len(faults):
            return fewer
    return _without(kept, str(path[0]), at)


def _table_with_less(
    kept: Document, file: Document, faults: Sequence[Fault], section: str
) -> Document:
    table = kept[section]
    keys = [str(faults[0].path[-1]), *(table if isinstance(table, Mapping) else ())]
    for key in keys:
        fewer = _without_key(kept, section, key)
        if _count(fewer, file) < len(faults):
            return fewer
    return _without_section(kept, section)


def _without_the_cause(kept: Document, file: Document, fault: Fault) -> Iterator[Document]:
    """Ever more left out, as far as the fault is gone then."""
    known = essence(fault, as_it_holds(kept, file))
    singles = (
        _without(kept, section, at)
        for section, entries in kept.items()
        if isinstance(entries, list)
        for at in range(len(entries))
    )
    sections = (_without_section(kept, section) for section in kept)
    for fewer in chain(singles, sections):
        document = as_it_holds(fewer, file)
        if known not in {essence(one, document) for one in examine(document).faults}:
            yield fewer


def _count(kept: Document, file: Document) -> int:
    return len(examine(as_it_holds(kept, file)).faults)


def _entry_at_fault(kept: Document, file: Document, fault: Fault) -> int | None:
    """Which entry of the kept list it is: behind those of the file, without the hidden."""
    section = str(fault.path[0])
    entries, files = kept.get(section), file.get(section)
    if section not in NAMED_BY or len(fault.path) < 2 or not isinstance(fault.path[1], int):
        return None
    if not isinstance(entries, list):
        return None
    hidden = names_in(section, file)
    seen = [at for at, one in enumerate(entries) if name_of(section, one) not in hidden]
    behind = fault.path[1] - (len(files) if isinstance(files, list) else 0)
    return seen[behind] if 0 <= behind < len(seen) else None


def _without(kept: Document, section: str, at: int, key: str | None = None) -> Document:
    held = kept[section]
    entries = list(held) if isinstance(held, list) else []
    entry = entries[at]
    if key is None or not isinstance(entry, Mapping):
        del entries[at]
    else:
        entries[at] = {name: value for name, value in entry.items() if name != key}
    return {**kept, section: entries}


def _without_key(kept: Document, section: str, key: str) -> Document:
    table = kept.get(section)
    if not isinstance(table, Mapping):
        return kept
    return {**kept, section: {name: value for name, value in table.items() if name != key}}


def _without_section(kept: Document, section: str) -> Document:
    return {name: value for name, value in kept.items() if name != section}
