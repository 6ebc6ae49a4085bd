"""Which of the settings made on pages are in force beside what the file states. Pure.

What the file states is sound by itself. An entry of the pages that does not agree with it is
left out and told, one by one, so that the others stay in force; it stays kept.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from service.settings.agreement import disagreements
from service.settings.build import build_settings
from service.settings.entry import whole_file
from service.settings.faults import Fault, fault_line
from service.settings.kept import NAMED_BY, fixed_paths, merged, name_of, names_in
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
    document = merged(in_force, stated.document)
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


def _agreeing(kept: Document, file: Document) -> tuple[Document, tuple[str, ...]]:
    """The part of ``kept`` that is sound beside the file, and what was left out, in words."""
    told: list[str] = []
    while kept:
        document = merged(kept, file)
        faults = examine(document).faults
        if not faults:
            break
        told.append(
            fault_line(faults[0], MADE_ON_PAGES, document) + "; it stays kept, and is not in force"
        )
        kept = _with_less(kept, file, faults)
    return kept, tuple(dict.fromkeys(told))


def _with_less(kept: Document, file: Document, faults: Sequence[Fault]) -> Document:
    """Without the least that takes the first fault away."""
    first = faults[0]
    for fewer in _ways_out(kept, file, first):
        if len(examine(merged(fewer, file)).faults) < len(faults):
            return fewer
    return _without_section(kept, file, str(first.path[0]))


def _ways_out(kept: Document, file: Document, fault: Fault) -> Iterator[Document]:
    """Ever larger things to leave out: the key at fault, its entry or table, any one entry."""
    section = str(fault.path[0])
    named = _entry_at_fault(kept, file, fault)
    if named is not None and len(fault.path) > 2:
        yield _without(kept, section, named, key=str(fault.path[2]))
    if named is not None:
        yield _without(kept, section, named)
    if section not in NAMED_BY:
        table = kept.get(section)
        for key in (str(fault.path[-1]), *(table if isinstance(table, Mapping) else ())):
            yield _without_key(kept, section, key)
        yield {name: value for name, value in kept.items() if name != section}
    for other in kept:
        entries = kept[other]
        for at in range(len(entries) if isinstance(entries, list) else 0):
            yield _without(kept, other, at)


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
    entries = list(kept[section])  # type: ignore[call-overload]
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


def _without_section(kept: Document, file: Document, section: str) -> Document:
    """All of the section at fault; where nothing of it is kept, all that is kept."""
    fewer = {name: value for name, value in kept.items() if name != section}
    return fewer if len(fewer) < len(kept) and _helps(fewer, file, kept) else {}


def _helps(fewer: Document, file: Document, kept: Document) -> bool:
    count: Callable[[Document], int] = lambda one: len(examine(merged(one, file)).faults)  # noqa: E731
    return count(fewer) < count(kept)
