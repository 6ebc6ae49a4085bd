"""Transactions on a real SQLite file, between threads and processes."""

import multiprocessing
import signal
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection

from service.errors import InputError, NotInThisVersionError, StoreUnavailableError
from service.store.sql_engine import BUSY_TIMEOUT_S, Transactions, open_engine, sql_url

URL = "sqlite:///counts.db"


def open_transactions(folder: Path, patience_s: float = 15.0) -> Transactions:
    return Transactions(open_engine(sql_url(URL, folder)), patience_s=patience_s)


@pytest.fixture
def transactions(tmp_path: Path) -> Iterator[Transactions]:
    opened = open_transactions(tmp_path)
    opened.write(lambda c: c.exec_driver_sql("CREATE TABLE counts (n INTEGER NOT NULL)"))
    opened.write(lambda c: c.exec_driver_sql("INSERT INTO counts VALUES (0)"))
    yield opened
    opened.close()


def count(connection: Connection) -> int:
    found = connection.exec_driver_sql("SELECT n FROM counts").scalar()
    assert isinstance(found, int)
    return found


def count_up(connection: Connection) -> None:
    """Read first, then write: what a deferred transaction would lose."""
    connection.exec_driver_sql("UPDATE counts SET n = ?", (count(connection) + 1,))


TIMES = 100


def count_up_often(folder: Path) -> None:
    transactions = open_transactions(folder)
    for _ in range(TIMES):
        transactions.write(count_up)
    transactions.close()


def test_two_processes_that_read_and_write_lose_no_update(
    tmp_path: Path, transactions: Transactions
) -> None:
    spawn = multiprocessing.get_context("spawn")
    writers = [spawn.Process(target=count_up_often, args=(tmp_path,)) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [writer.exitcode for writer in writers] == [0, 0]
    assert transactions.read(count) == 2 * TIMES


def test_eight_threads_that_read_and_write_lose_no_update(transactions: Transactions) -> None:
    def often() -> None:
        for _ in range(20):
            transactions.write(count_up)
            transactions.read(count)

    threads = [threading.Thread(target=often) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert transactions.read(count) == 160


def can_write(file: Path) -> bool:
    with closing(sqlite3.connect(file, isolation_level=None, timeout=0)) as other:
        try:
            other.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError:
            return False
        return True


def test_writing_transaction_holds_the_write_lock_before_its_first_statement(
    tmp_path: Path, transactions: Transactions
) -> None:
    assert not transactions.write(lambda _: can_write(tmp_path / "counts.db"))
    assert can_write(tmp_path / "counts.db")


def test_reading_transaction_keeps_no_writer_waiting(
    tmp_path: Path, transactions: Transactions
) -> None:
    def read_on(connection: Connection) -> bool:
        count(connection)
        return can_write(tmp_path / "counts.db")

    assert transactions.read(read_on)


def test_reading_transaction_sees_one_state_of_the_store(
    tmp_path: Path, transactions: Transactions
) -> None:
    impatient = open_transactions(tmp_path, patience_s=0.0)

    def read_twice(connection: Connection) -> tuple[int, int]:
        first = count(connection)
        with pytest.raises(StoreUnavailableError):
            impatient.write(count_up)
        return first, count(connection)

    assert transactions.read(read_twice) == (0, 0)
    impatient.close()


def test_work_that_fails_leaves_nothing(transactions: Transactions) -> None:
    def fail(connection: Connection) -> None:
        count_up(connection)
        raise LookupError("half way")

    with pytest.raises(LookupError):
        transactions.write(fail)
    assert transactions.read(count) == 0


def test_tables_made_by_work_that_fails_are_gone(transactions: Transactions) -> None:
    def fail(connection: Connection) -> None:
        connection.exec_driver_sql("CREATE TABLE half (n INTEGER)")
        raise LookupError("half way")

    with pytest.raises(LookupError):
        transactions.write(fail)
    tables = transactions.read(
        lambda c: c.exec_driver_sql("SELECT name FROM sqlite_master").scalars().all()
    )
    assert tables == ["counts"]


def test_store_that_stays_busy_is_unavailable(tmp_path: Path, transactions: Transactions) -> None:
    impatient = open_transactions(tmp_path, patience_s=0.0)
    with closing(sqlite3.connect(tmp_path / "counts.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreUnavailableError, match="locked"):
            impatient.write(count_up)
        other.execute("ROLLBACK")
    impatient.close()
    assert transactions.read(count) == 0


def test_store_that_is_busy_for_longer_than_one_wait_is_tried_again(
    tmp_path: Path, transactions: Transactions
) -> None:
    held = BUSY_TIMEOUT_S + 1.0
    began = time.monotonic()

    def hold() -> None:
        with closing(sqlite3.connect(tmp_path / "counts.db", isolation_level=None)) as other:
            other.execute("BEGIN EXCLUSIVE")
            holding.set()
            time.sleep(held)
            other.execute("ROLLBACK")

    holding = threading.Event()
    holder = threading.Thread(target=hold)
    holder.start()
    holding.wait()
    transactions.write(count_up)
    assert time.monotonic() - began >= held
    holder.join()
    assert transactions.read(count) == 1


def test_file_in_a_folder_that_is_not_there_is_unavailable(tmp_path: Path) -> None:
    lost = open_transactions(tmp_path / "nowhere", patience_s=0.0)
    with pytest.raises(StoreUnavailableError, match="unable to open"):
        lost.read(count)
    lost.close()


def test_file_that_is_no_database_is_unavailable(tmp_path: Path) -> None:
    (tmp_path / "counts.db").write_bytes(b"seed dust " * 500)
    spoilt = open_transactions(tmp_path, patience_s=0.0)
    with pytest.raises(StoreUnavailableError, match="not a database"):
        spoilt.read(count)
    spoilt.close()


def test_file_keeps_a_rollback_journal_and_syncs_in_full(transactions: Transactions) -> None:
    def pragmas(connection: Connection) -> list[object]:
        names = ("journal_mode", "synchronous", "foreign_keys")
        return [connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in names]

    # 2 is FULL: sqlite.org/pragma.html#pragma_synchronous.
    assert transactions.read(pragmas) == ["delete", 2, 1]


def count_up_for_ever(folder: Path, told: Path) -> None:
    """Tell each count only after the write has returned."""
    transactions = open_transactions(folder)
    while True:
        transactions.write(count_up)
        # Replaced at once, so that the end never finds half of it.
        whole = told.with_suffix(".new")
        whole.write_text(str(transactions.read(count)))
        whole.replace(told)


def test_write_that_returned_is_there_after_the_process_was_killed(
    tmp_path: Path, transactions: Transactions
) -> None:
    told = tmp_path / "told"
    spawn = multiprocessing.get_context("spawn")
    writer = spawn.Process(target=count_up_for_ever, args=(tmp_path, told))
    writer.start()
    deadline = time.monotonic() + 30
    while not (told.exists() and told.read_text() not in ("", "1")):
        assert time.monotonic() < deadline
        time.sleep(0.02)
    writer.kill()
    writer.join()
    assert writer.exitcode == -signal.SIGKILL
    assert transactions.read(count) >= int(told.read_text() or 0) > 1
    whole = transactions.read(lambda c: c.exec_driver_sql("PRAGMA integrity_check").scalar())
    assert whole == "ok"


def test_relative_file_lies_in_the_data_folder(tmp_path: Path) -> None:
    assert sql_url("sqlite:///records.db", tmp_path).database == str(tmp_path / "records.db")


def test_absolute_file_lies_where_it_says(tmp_path: Path) -> None:
    assert sql_url("sqlite:////srv/records.db", tmp_path).database == "/srv/records.db"


def test_postgresql_is_not_in_this_version(tmp_path: Path) -> None:
    with pytest.raises(NotInThisVersionError):
        sql_url("postgresql+psycopg://shed/records", tmp_path)


@pytest.mark.parametrize("url", ["records.db", "mysql://shed/x", "sqlite://", "sqlite:///:memory:"])
def test_what_is_no_sqlite_file_is_refused(tmp_path: Path, url: str) -> None:
    with pytest.raises(InputError):
        sql_url(url, tmp_path)
