"""The nest book's contract on a real SQLite file, and what is true of that file alone."""

import multiprocessing
import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from service.nests.nest import NestCheck
from service.store.nest_book import NestBook
from service.store.sql_records import Records, open_records
from tests.service.store.nest_book_contract import (
    NOON,
    PLACES,
    NestBookContract,
    a_check,
    a_clutch,
    pair_up,
)

URL = "sqlite:///records.db"


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(URL, tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


@pytest.fixture
def book(records: Records) -> NestBook:
    return records.nest_book


class TestSqlNestBook(NestBookContract):
    pass


def test_one_form_sent_by_eight_threads_is_one_check(records: Records) -> None:
    book = records.nest_book
    check, clutch = a_check(eggs=3), a_clutch(pair_up(book), eggs=3)
    with ThreadPoolExecutor(8) as threads:
        stored = list(threads.map(lambda _: book.record(check, clutch), range(8)))
    assert sorted(stored) == [False] * 7 + [True]
    kept = book.nest("box-1")
    assert kept.checks == (check,)
    assert kept.clutch is not None
    assert len(kept.clutch.eggs) == 3


CHECKS_EACH = 40


def write_checks(folder: Path, box: str) -> None:
    """In a process of its own: one empty look after the other."""
    records = open_records(URL, folder)
    for number in range(CHECKS_EACH):
        at = NOON + timedelta(minutes=number)
        check = NestCheck(form_id=uuid4(), box=box, at=at, eggs=0, chicks=0)
        assert records.nest_book.record(check, None)
    records.close()


def test_two_processes_that_write_at_once_lose_nothing(tmp_path: Path, records: Records) -> None:
    spawn = multiprocessing.get_context("spawn")
    writers = [spawn.Process(target=write_checks, args=(tmp_path, "box-1")) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [writer.exitcode for writer in writers] == [0, 0]
    # Each check moved the revision on by reading it first: a lost update would show here.
    assert records.nest_book.nest("box-1").revision == 2 * CHECKS_EACH
    with sqlite3.connect(tmp_path / "records.db") as file:
        assert file.execute("SELECT count(*) FROM checks").fetchone() == (2 * CHECKS_EACH,)
    file.close()


def test_check_is_in_the_file_when_record_returns(tmp_path: Path, records: Records) -> None:
    check = a_check(eggs=0)
    records.nest_book.record(check, None)
    other = open_records(URL, tmp_path)
    assert other.nest_book.check(str(check.form_id)) == check
    other.close()


def test_second_open_clutch_in_a_box_is_impossible_whatever_the_code_believes(
    records: Records,
) -> None:
    book = records.nest_book
    pair = pair_up(book)
    book.record(a_check(), a_clutch(pair))
    with pytest.raises(Exception, match=r"UNIQUE constraint failed: clutches\.box"):
        book.record(a_check(), a_clutch(pair))
    assert len(book.nest("box-1").checks) == 1
