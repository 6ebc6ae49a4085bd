"""How values stand in cells; that whole books agree is held elsewhere."""

import csv
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from uuid import UUID

import pytest

from service.book.csv_tables import TABLES_BY_NAME
from simulated_feeds.keeper.csv_book import cell, write_book
from simulated_feeds.keeper.rows import BirdRow, Book, CheckRow
from simulated_feeds.keeper.values import ChickRinged, GuestSeen, NestCheck, Weighed

BIRD = BirdRow(
    bird=1,
    ring="HZ-26-001",
    name=None,
    sex="hen",
    variety=None,
    hatched_on=date(2024, 3, 5),
    sire=None,
    dam=None,
    place=None,
)
TOLD = NestCheck(
    form_id=UUID(int=7),
    box="box-1",
    at=datetime(2026, 3, 1, 18, tzinfo=UTC),
    eggs=2,
    chicks=0,
    hen="sitting",
)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "yes"),
        (False, "no"),
        (date(2026, 3, 1), "2026-03-01"),
        (datetime(2026, 3, 1, 18, 30, tzinfo=UTC), "2026-03-01T18:30:00Z"),
        (datetime(2026, 3, 1, 18, 30, 0, 5, tzinfo=UTC), "2026-03-01T18:30:00.000005Z"),
        (datetime(2026, 3, 1, 19, tzinfo=timezone(timedelta(hours=1))), "2026-03-01T18:00:00Z"),
        (2.0, "2"),
        (2.1, "2.1"),
        (12, "12"),
    ],
)
def test_cell_is_as_the_dialect_says(value: object, text: str) -> None:
    assert cell(value) == text


def lines(folder: Path, name: str) -> list[list[str]]:
    raw = (folder / name).read_bytes()
    assert raw.endswith(b"\r\n")
    assert not raw.startswith(b"\xef\xbb\xbf")
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def test_header_is_that_of_the_nest_book(tmp_path: Path) -> None:
    write_book(
        tmp_path, Book(birds=(BIRD,), checks=(CheckRow(check=1, told=TOLD, pair=1, clutch=1),))
    )
    for name in ("birds", "checks"):
        assert tuple(lines(tmp_path, f"{name}.csv")[0]) == TABLES_BY_NAME[name].columns


def test_tables_without_rows_are_no_files(tmp_path: Path) -> None:
    assert [path.name for path in write_book(tmp_path, Book(birds=(BIRD,)))] == ["birds.csv"]


def test_nothing_is_left_of_an_earlier_book(tmp_path: Path) -> None:
    write_book(tmp_path, Book(birds=(BIRD,)))
    write_book(tmp_path, Book())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["=1+1", "+49", "-3", "@home", "'quoted"])
def test_what_a_spreadsheet_could_take_for_a_formula_is_made_harmless(
    name: str, tmp_path: Path
) -> None:
    write_book(tmp_path, Book(birds=(replace(BIRD, name=name),)))
    assert lines(tmp_path, "birds.csv")[1][2] == f"'{name}"


def test_commas_and_quotes_are_quoted(tmp_path: Path) -> None:
    write_book(tmp_path, Book(birds=(replace(BIRD, name='the "blue", one'),)))
    assert b'"the ""blue"", one"' in (tmp_path / "birds.csv").read_bytes()
    assert lines(tmp_path, "birds.csv")[1][2] == 'the "blue", one'


def test_lists_stand_in_one_cell(tmp_path: Path) -> None:
    told = replace(
        TOLD,
        hatched=(1, 2),
        ringed=(ChickRinged(egg_number=1, ring="A;1,B"),),
        weighed=(
            Weighed(egg_number=1, mass_g=2.0),
            Weighed(egg_number=3, mass_g=12.5, egg_id=17),
        ),
        guests=(
            GuestSeen(egg_id=17, hatched=True, ring="X-1", gone="died"),
            GuestSeen(egg_id=18, candled="fertile", not_in_sight=True),
            GuestSeen(egg_id=19),
        ),
    )
    row = CheckRow(check=1, told=told, pair=1, clutch=1, changes=("egg 1 hatched", "egg 2 hatched"))
    write_book(tmp_path, Book(checks=(row,)))
    header, cells = lines(tmp_path, "checks.csv")
    found = dict(zip(header, cells, strict=True))
    assert found["hatched"] == "1;2"
    assert found["ringed"] == r"1:A\;1\,B"
    assert found["weighed"] == "1:2;3@17:12.5"
    assert found["guests"] == "17:hatched,ring=X-1,gone=died;18:candled=fertile,not in sight;19"
    assert found["changes"] == "egg 1 hatched;egg 2 hatched"
    assert found["thrown_out"] == "no"
