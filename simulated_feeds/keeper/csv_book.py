r"""The keeper's book as CSV files, one a table.

UTF-8, RFC 4180 (comma, CRLF, quotes doubled), a header always, rows in the order of their
numbers. Times are ISO 8601 in UTC with Z, days ISO 8601, yes and no in words, nothing an empty
cell. Lists in a cell are apart by ``;``, with ``\`` before a ``;``, ``,`` or ``\`` in free text.
A cell that a spreadsheet could take for a formula gets a ``'`` before it.
"""

import csv
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields
from datetime import UTC, date, datetime
from pathlib import Path

from simulated_feeds.keeper.rows import Book, CheckRow
from simulated_feeds.keeper.values import GuestSeen, Weighed

_FORMULAS = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
_TABLES = ("birds", "seasons", "pairs", "clutches", "eggs", "chicks", "moves", "weighings")

# Every column of ``checks.csv``, and how it is made of a row.
_CHECK: dict[str, Callable[[CheckRow], str]] = {
    "check": lambda row: str(row.check),
    "form": lambda row: str(row.told.form_id),
    "box": lambda row: row.told.box,
    "at": lambda row: cell(row.told.at),
    "pair": lambda row: cell(row.pair),
    "clutch": lambda row: cell(row.clutch),
    "eggs": lambda row: str(row.told.eggs),
    "chicks": lambda row: str(row.told.chicks),
    "hen": lambda row: row.told.hen,
    "hatched": lambda row: _list(str(number) for number in row.told.hatched),
    "lost": lambda row: _list(f"{lost.number}:{lost.fate}" for lost in row.told.lost),
    "candled": lambda row: _list(f"{one.number}:{one.result}" for one in row.told.candled),
    "ringed": lambda row: _list(f"{one.egg_number}:{_free(one.ring)}" for one in row.told.ringed),
    "gone": lambda row: _list(f"{one.egg_number}:{one.fate}" for one in row.told.gone),
    "guests": lambda row: _list(_guest(guest) for guest in row.told.guests),
    "not_in_sight": lambda row: _list(str(number) for number in row.told.not_in_sight),
    "bedding": lambda row: cell(row.told.bedding),
    "thrown_out": lambda row: cell(row.told.thrown_out),
    "put_back": lambda row: cell(row.told.put_back),
    "taken_out": lambda row: cell(row.told.taken_out),
    "weighed": lambda row: _list(_weighed(one) for one in row.told.weighed),
    "hide_in": lambda row: cell(row.told.hide_in),
    "sure": lambda _row: "no",
    "note": lambda row: row.told.note,
    "by": lambda _row: "",
    "changes": lambda row: _list(_free(change) for change in row.changes),
}


def write_book(folder: Path, book: Book) -> tuple[Path, ...]:
    """Write the tables that have rows into a folder, which is made when missing.

    Returns:
        The files; those of an earlier book are gone.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for table in (*_TABLES, "checks"):
        (folder / f"{table}.csv").unlink(missing_ok=True)
    written = []
    for table in _TABLES:
        rows = getattr(book, table)
        if rows:
            header = [field.name for field in fields(rows[0])]
            cells = ([cell(getattr(row, name)) for name in header] for row in rows)
            written.append(_write(folder / f"{table}.csv", header, cells))
    if book.checks:
        cells = ([make(row) for make in _CHECK.values()] for row in book.checks)
        written.append(_write(folder / "checks.csv", list(_CHECK), cells))
    return tuple(written)


def _write(path: Path, header: Sequence[str], rows: Iterable[Sequence[str]]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\r\n")
        out.writerow(header)
        out.writerows([_guarded(one) for one in row] for row in rows)
    return path


def cell(value: object) -> str:
    """One value as it stands in a cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return str(value)


def _guarded(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULAS) else text


def _list(items: Iterable[str]) -> str:
    return ";".join(items)


def _free(text: str) -> str:
    for sign in "\\;,":
        text = text.replace(sign, f"\\{sign}")
    return text


def _weighed(one: Weighed) -> str:
    guest = "" if one.egg_id is None else f"@{one.egg_id}"
    return f"{one.egg_number}{guest}:{cell(one.mass_g)}"


def _guest(guest: GuestSeen) -> str:
    told = [
        f"{name}={_free(word)}"
        for name, word in (("candled", guest.candled), ("lost", guest.lost))
        if word is not None
    ]
    if guest.hatched:
        told.append("hatched")
    told += [
        f"{name}={_free(word)}"
        for name, word in (("ring", guest.ring), ("gone", guest.gone))
        if word is not None
    ]
    if guest.not_in_sight:
        told.append("not in sight")
    return f"{guest.egg_id}:{','.join(told)}" if told else str(guest.egg_id)
