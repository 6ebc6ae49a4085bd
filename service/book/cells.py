"""How each kind of column is read from a cell and written into one, by the type of its field.

Pure.
"""

from collections.abc import Callable
from dataclasses import MISSING, dataclass, fields
from datetime import date, datetime
from enum import StrEnum
from functools import partial
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from service.book import list_cells as lists
from service.book.plain_cells import (
    day_of,
    number_of,
    number_written,
    shown,
    time_of,
    time_written,
    whole_of,
)
from service.nests.book_rows import BookRow, Of
from service.nests.nest import (
    ChickGone,
    ChickRinged,
    EggCandled,
    EggLost,
    GuestSeen,
    Weighed,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """``words`` say what is allowed. ``read`` raises ValueError with a sentence."""

    read: Callable[[str], object]
    write: Callable[[Any], str]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """``empty`` is what an empty cell means; ``needed`` where it may not be empty. ``of`` is
    the table whose row it names, or None.
    """

    name: str
    kind: Kind
    needed: bool
    empty: object
    of: str | None

    def read(self, cell: str) -> object:
        """What the cell says.

        Raises:
            ValueError: it can't be read; the message is a sentence.
        """
        if "\0" in cell:
            raise ValueError("a character with the number nought stands in it; take it out")
        if not cell:
            if self.needed:
                raise ValueError(f"it is empty; it must be {self.kind.words}")
            return self.empty
        return self.kind.read(cell)

    def write(self, value: object) -> str:
        """The cell; nothing noted is an empty one."""
        return "" if value is None else self.kind.write(value)


_KNOWN: dict[type[BookRow], tuple[Column, ...]] = {}


def columns_of(row: type[BookRow]) -> tuple[Column, ...]:
    """The columns of a table in their order."""
    if row not in _KNOWN:
        _KNOWN[row] = _columns_of(row)
    return _KNOWN[row]


def _columns_of(row: type[BookRow]) -> tuple[Column, ...]:
    hints = get_type_hints(row, include_extras=True)
    return tuple(_column(field.name, hints[field.name], field.default) for field in fields(row))


def _column(name: str, hint: Any, default: object) -> Column:
    of, hint, optional = _unwrapped(hint)
    return Column(
        name=name,
        kind=_kind_of(hint),
        needed=default is MISSING and not optional,
        empty=None if default is MISSING else default,
        of=of,
    )


def _unwrapped(hint: Any) -> tuple[str | None, Any, bool]:
    """Which table it speaks of, the plain type, and whether there may be none."""
    optional = False
    if get_origin(hint) in (Union, UnionType):
        optional = True
        hint = next(part for part in get_args(hint) if part is not NoneType)
    if get_origin(hint) is Annotated:
        plain, of = get_args(hint)
        assert isinstance(of, Of)  # noqa: S101 - the only annotation there is
        return of.table, plain, optional
    return None, hint, optional


def _kind_of(hint: Any) -> Kind:
    if get_origin(hint) is tuple:
        return _list_kind(get_args(hint)[0])
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return Kind(read=partial(_word_of, hint), write=str, words=" or ".join(hint))
    return _PLAIN[hint]


def _list_kind(item: Any) -> Kind:
    read, write, words = _LISTS[item]
    return Kind(
        read=lambda cell: lists.read_list(cell, read),
        write=lambda values: ";".join(write(value) for value in values),
        words=words,
    )


def _word_of(words: type[StrEnum], text: str) -> StrEnum:
    try:
        return words(text)
    except ValueError:
        raise ValueError(f"{shown(text)} is not known; it can be {', '.join(words)}") from None


def _yes(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(f"{shown(text)} is neither yes nor no")
    return text == "yes"


def _form_of(text: str) -> UUID:
    try:
        form = UUID(text)
    except ValueError:
        form = None
    if form is None or str(form) != text:
        words = "write it in small letters, as 0b4c9f6e-0f0c-4e57-9a52-3f1f6a1d2c11"
        raise ValueError(f"{shown(text)} is no number of a form; {words}")
    return form


_PLAIN: dict[Any, Kind] = {
    int: Kind(read=whole_of, write=str, words="a whole number"),
    float: Kind(read=number_of, write=number_written, words="a number with a decimal point"),
    str: Kind(read=str, write=str, words="text"),
    bool: Kind(read=_yes, write=lambda value: "yes" if value else "no", words="yes or no"),
    date: Kind(read=day_of, write=date.isoformat, words="a day, as 2026-04-21"),
    datetime: Kind(read=time_of, write=time_written, words="a time, as 2026-04-21T18:30:00Z"),
    UUID: Kind(read=_form_of, write=str, words="the number of a form (a UUID)"),
}

_LISTS: dict[Any, tuple[Callable[[str], object], Callable[[Any], str], str]] = {
    int: (whole_of, str, "egg numbers, as 1;2"),
    str: (lists.unescape, lists.escape, "sentences apart by ;"),
    EggLost: (lists.read_lost, lists.write_lost, "number:fate, as 4:clear;5:broken"),
    EggCandled: (lists.read_candled, lists.write_candled, "number:result, as 1:fertile;2:clear"),
    ChickRinged: (lists.read_ringed, lists.write_ringed, "number:ring, as 1:HZ-26-021"),
    ChickGone: (lists.read_gone, lists.write_gone, "number:fate, as 2:fledged"),
    GuestSeen: (lists.read_guest, lists.write_guest, "eggs of other clutches, as 17;18:hatched"),
    Weighed: (lists.read_weighed, lists.write_weighed, "number:grams, as 1:2.1"),
}
