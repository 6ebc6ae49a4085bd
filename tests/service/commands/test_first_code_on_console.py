"""The console offers a code that works, while there is no keeper, and never afterwards."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import zxingcpp

from service.commands.first_code_on_console import offer_first_code, terminal_code
from service.people.digest import digest_of
from service.people.first_code import as_kept
from service.people.role import Role
from service.store.sql_people import SqlPeople
from service.store.sql_records import open_records

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)


@pytest.fixture
def people(tmp_path: Path) -> Iterator[SqlPeople]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.people
    records.close()


def offered(people: SqlPeople, *, short: bool = False) -> str:
    said: list[str] = []
    offer_first_code(people, 8460, NOW, said.append, short=short)
    return "\n".join(said)


def code_in(said: str) -> str:
    found = re.search(r"code:? (\w{4}-\w{4}-\w{4}-\w{4})", said)
    assert found
    return found.group(1)


@pytest.mark.parametrize("short", [False, True])
def test_the_code_on_the_console_is_the_one_that_holds(people: SqlPeople, short: bool) -> None:
    said = offered(people, short=short)
    assert "http://127.0.0.1:8460/first/keeper" in said
    kept = people.first_code()
    assert kept is not None
    assert kept.digest == digest_of(as_kept(code_in(said)))


def test_each_start_offers_another_code(people: SqlPeople) -> None:
    assert code_in(offered(people)) != code_in(offered(people))


def test_nothing_is_offered_once_there_is_a_keeper(people: SqlPeople) -> None:
    people.add("Mara", Role.KEEPER, "hash", NOW)
    assert offered(people) == ""
    assert people.first_code() is None


def test_the_code_that_is_drawn_on_the_terminal_can_be_read() -> None:
    # Two modules a character: upper and lower half, as Unicode's block elements draw them.
    text = "http://127.0.0.1:8460/first/keeper#abcd-efgh-jkmn-pqrs"
    rows: list[list[bool]] = []
    for line in re.sub(r"\x1b\[[0-9;]*m", "", terminal_code(text)).splitlines():
        if line.strip("\n"):
            rows.append([one in "\N{FULL BLOCK}\N{UPPER HALF BLOCK}" for one in line])
            rows.append([one in "\N{FULL BLOCK}\N{LOWER HALF BLOCK}" for one in line])
    side = max(len(row) for row in rows)
    scale = 4
    pixels = bytearray()
    for row in rows:
        line_of = b"".join(
            bytes([255 if light else 0]) * scale for light in (row + [True] * side)[:side]
        )
        pixels += line_of * scale
    view = memoryview(bytes(pixels)).cast("B", (len(rows) * scale, side * scale))
    (found,) = zxingcpp.read_barcodes(view)
    assert found.text == text
