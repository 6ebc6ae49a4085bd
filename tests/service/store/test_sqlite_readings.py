"""Readings in SQLite: the contract, readers beside a writer, and SQLite's failures."""

import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.errors import InputError, StoreUnavailableError
from service.store import sqlite_connections
from service.store.reading_store import Batch, Gap, ReadingStore
from service.store.sqlite_layout import LAYOUT, STEPS
from service.store.sqlite_readings import SqliteReadings
from tests.service.store.reading_store_contract import (
    MINUTE,
    ReadingStoreContract,
    at,
    everything,
    judged,
    letter,
    stranger,
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "data" / "readings.db"


@pytest.fixture
def store(file: Path) -> Iterator[SqliteReadings]:
    store = SqliteReadings(file, writer=True)
    yield store
    store.close()


@pytest.fixture
def reader(file: Path) -> Iterator[SqliteReadings]:
    reader = SqliteReadings(file, writer=False)
    yield reader
    reader.close()


class TestSqliteReadings(ReadingStoreContract):
    """The contract, told by the writer itself."""

    @pytest.fixture
    def store(self, file: Path) -> Iterator[ReadingStore]:
        store = SqliteReadings(file, writer=True)
        yield store
        store.close()


def told(file: Path, pragma: str) -> object:
    db = sqlite3.connect(file)
    try:
        return db.execute(f"PRAGMA {pragma}").fetchone()[0]
    finally:
        db.close()


# -- readers ------------------------------------------------------------------------------------


def test_reader_of_a_file_that_is_not_there_sees_an_empty_store(
    reader: SqliteReadings, file: Path
) -> None:
    assert everything(reader) == ([], [], [], [], [], 0, [], [], [])
    assert not file.exists()


def test_reader_sees_the_file_as_soon_as_it_is_there(reader: SqliteReadings, file: Path) -> None:
    assert reader.latest() == []
    store = SqliteReadings(file, writer=True)
    store.commit(Batch(judged=[judged(0, 21.4)]))
    assert [one.value for one in reader.latest()] == [21.4]
    store.close()


def test_reader_tells_the_same_as_the_writer(store: SqliteReadings, reader: SqliteReadings) -> None:
    store.commit(
        Batch(judged=[judged(0, 1), judged(0, 2)], dead_letters=[letter()], strangers=[stranger()])
    )
    assert everything(reader) == everything(store)


def test_reader_sees_each_commit(store: SqliteReadings, reader: SqliteReadings) -> None:
    for minute in range(5):
        store.commit(Batch(judged=[judged(minute, minute)]))
        assert [one.value for one in reader.latest()] == [float(minute)]


def test_reader_works_when_no_writer_runs(file: Path, reader: SqliteReadings) -> None:
    store = SqliteReadings(file, writer=True)
    store.commit(Batch(judged=[judged(0, 21.4)]))
    store.close()
    assert [one.value for one in reader.latest()] == [21.4]


def test_reader_works_after_the_writer_was_killed(file: Path, reader: SqliteReadings) -> None:
    killed_writer(file, commits=20)
    assert len(reader.window(1, at(0), at(10**6))) >= 20


@pytest.mark.usefixtures("store")
def test_reader_can_not_write(reader: SqliteReadings) -> None:
    with pytest.raises(TypeError):
        reader.commit(Batch())
    with reader._connections.lend() as db:
        assert db is not None
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            db.execute("DELETE FROM readings")


def test_reader_never_checkpoints(store: SqliteReadings, reader: SqliteReadings) -> None:
    store.commit(Batch(judged=[judged(0, 1)]))
    with reader._connections.lend() as db:
        assert db is not None
        assert db.execute("PRAGMA wal_autocheckpoint").fetchone() == (0,)


def test_reader_serves_many_threads_at_once(store: SqliteReadings, reader: SqliteReadings) -> None:
    store.commit(Batch(judged=[judged(minute, minute) for minute in range(500)]))
    wrong: list[object] = []

    def ask() -> None:
        for _ in range(40):
            latest = reader.latest()
            window = reader.window(1, at(0), at(500))
            if len(latest) != 1 or len(window) < 500:
                wrong.append((latest, len(window)))

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for minute in range(500, 540):
        store.commit(Batch(judged=[judged(minute, minute)]))
    for thread in threads:
        thread.join()
    assert wrong == []


def test_slow_reader_does_not_hold_up_a_commit(
    store: SqliteReadings, reader: SqliteReadings
) -> None:
    store.commit(Batch(judged=[judged(minute, 1) for minute in range(1000)]))
    with reader._connections.lend() as db:
        assert db is not None
        rows = db.execute("SELECT value FROM readings")
        rows.fetchone()
        assert store.commit(Batch(judged=[judged(2000, 1)])) == 1
        rows.close()


def test_closed_reader_says_so(reader: SqliteReadings) -> None:
    reader.close()
    with pytest.raises(StoreUnavailableError, match="closed"):
        reader.latest()


# -- the file -----------------------------------------------------------------------------------


def test_file_has_a_write_ahead_log_and_a_layout_number(store: SqliteReadings, file: Path) -> None:
    assert told(file, "journal_mode") == "wal"
    assert told(file, "user_version") == LAYOUT
    with store._connections.lend() as db:
        assert db is not None
        assert db.execute("PRAGMA synchronous").fetchone() == (2,)  # 2 is FULL


@pytest.mark.usefixtures("store")
def test_every_table_is_strict(file: Path) -> None:
    db = sqlite3.connect(file)
    loose = db.execute(
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND strict = 0 "
        "AND name NOT LIKE 'sqlite_%'"
    ).fetchall()
    db.close()
    assert loose == []


def test_readings_outlive_the_process(file: Path) -> None:
    for minute in range(3):
        store = SqliteReadings(file, writer=True)
        store.commit(Batch(judged=[judged(minute, minute)]))
        store.close()
        store = SqliteReadings(file, writer=True)
        kept = store.window(1, at(0), at(9))
        assert [one.value for one in kept] == [float(n) for n in range(minute + 1)]
        assert len(store.series()) == 1
        store.close()


def test_newer_layout_is_refused_and_left_alone(file: Path, reader: SqliteReadings) -> None:
    SqliteReadings(file, writer=True).close()
    db = sqlite3.connect(file)
    db.execute(f"PRAGMA user_version = {LAYOUT + 1}")
    db.close()
    with pytest.raises(InputError, match="newer version"):
        SqliteReadings(file, writer=True)
    with pytest.raises(InputError, match="newer version"):
        reader.latest()
    assert told(file, "user_version") == LAYOUT + 1


def test_file_of_the_first_layout_is_brought_up_to_date_with_all_that_it_holds(
    file: Path,
) -> None:
    file.parent.mkdir()
    db = sqlite3.connect(file)
    for statement in STEPS[0]:
        db.execute(statement)
    db.execute("INSERT INTO series VALUES (1, 'th-shed', 'shed', 'temperature', 0)")
    db.execute("INSERT INTO readings VALUES (1, 1000, 1000, NULL, 21.4, 1, '')")
    db.execute("INSERT INTO dead_letters VALUES (1, x'00', 'a/b', x'ff', 'not JSON', 1000, 3)")
    db.execute("PRAGMA user_version = 1")
    db.commit()
    db.close()
    store = SqliteReadings(file, writer=True)
    (kept,) = store.window(1, at(-1e8), at(1e8))
    assert (kept.value, kept.raw) == (21.4, None)
    assert [(one.count, one.retained) for one in store.dead_letters()] == [(3, False)]
    assert store.overheard() == []
    store.close()


def test_step_that_fails_leaves_the_file_as_it_was(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    SqliteReadings(file, writer=True).close()
    broken = ("CREATE TABLE half_done (a INTEGER) STRICT", "CREATE TABLE readings (a)")
    monkeypatch.setattr("service.store.sqlite_layout.STEPS", (*STEPS, broken))
    monkeypatch.setattr("service.store.sqlite_layout.LAYOUT", LAYOUT + 1)
    with pytest.raises(StoreUnavailableError, match="already exists"):
        SqliteReadings(file, writer=True)
    assert told(file, "user_version") == LAYOUT
    db = sqlite3.connect(file)
    assert db.execute("SELECT * FROM sqlite_master WHERE name = 'half_done'").fetchall() == []
    db.close()


def test_reader_waits_for_the_writer_to_finish_the_layout(
    file: Path, reader: SqliteReadings
) -> None:
    file.parent.mkdir()
    sqlite3.connect(file).close()
    file.touch()
    assert reader.latest() == []


@pytest.mark.parametrize("writer", [True, False])
def test_file_that_is_no_database_is_unavailable(file: Path, writer: bool) -> None:
    file.parent.mkdir()
    file.write_bytes(b"\x00garbage" * 1000)
    with pytest.raises(StoreUnavailableError, match=r"readings\.db"):
        SqliteReadings(file, writer=writer).latest()


def test_folder_that_can_not_be_made_is_unavailable(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(StoreUnavailableError):
        SqliteReadings(tmp_path / "taken" / "readings.db", writer=True)


# -- failures -----------------------------------------------------------------------------------


def test_full_disk_stores_nothing_and_the_next_commit_works(store: SqliteReadings) -> None:
    store.commit(Batch(judged=[judged(0, 1)]))
    before = everything(store)
    batch = Batch(
        judged=[judged(minute, 1, device=f"d{minute % 50}") for minute in range(1, 5000)],
        dead_letters=[letter()],
        strangers=[stranger()],
    )
    with store._connections.lend() as db:
        assert db is not None
        pages = db.execute("PRAGMA page_count").fetchone()[0]
        db.execute(f"PRAGMA max_page_count = {pages + 5}")
    with pytest.raises(StoreUnavailableError, match="full"):
        store.commit(batch)
    assert everything(store) == before
    with store._connections.lend() as db:
        assert db is not None
        db.execute("PRAGMA max_page_count = 1000000")
    assert store.commit(batch) == 4999
    assert len(store.series()) == 51


def test_busy_file_stores_nothing_and_the_next_commit_works(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_connections, "BUSY_TIMEOUT_S", 0.1)
    store = SqliteReadings(file, writer=True)
    other = sqlite3.connect(file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreUnavailableError, match="locked"):
        store.commit(Batch(judged=[judged(0, 1)]))
    other.execute("ROLLBACK")
    other.close()
    assert store.commit(Batch(judged=[judged(0, 1)])) == 1
    store.close()


def test_failure_in_the_middle_of_a_batch_rolls_all_of_it_back(store: SqliteReadings) -> None:
    with store._connections.lend() as db:
        assert db is not None
        db.execute(
            "CREATE TEMP TRIGGER fault BEFORE INSERT ON gaps "
            "BEGIN SELECT raise(ABORT, 'disk I/O error'); END"
        )
    batch = Batch(judged=[judged(0, 1)], gaps=[Gap(at=at(0), reason="x")])
    with pytest.raises(StoreUnavailableError, match="I/O"):
        store.commit(batch)
    assert store.series() == []
    with store._connections.lend() as db:
        assert db is not None
        db.execute("DROP TRIGGER fault")
    assert store.commit(batch) == 1


def test_huge_payload_is_kept_in_part_and_says_so(store: SqliteReadings) -> None:
    store.commit(Batch(dead_letters=[letter(payload=b"x" * 100_000)]))
    (kept,) = store.dead_letters()
    assert len(kept.payload) == 65_536
    assert "of 100000 bytes" in kept.reason


def test_sender_that_makes_up_names_for_ever_is_bounded(store: SqliteReadings) -> None:
    store.commit(Batch(strangers=[stranger(n, measure=f"m{n}") for n in range(120)]))
    kept = store.strangers()
    assert len(kept) == 50
    assert kept[0].measure == "m119"


def test_buckets_without_width_are_refused(store: SqliteReadings) -> None:
    with pytest.raises(ValueError, match="no width"):
        store.buckets(1, at(0), at(1), width=timedelta(0), max_gap=MINUTE)


# -- kill -9 ------------------------------------------------------------------------------------

WRITER = """
import sys
from pathlib import Path
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings
from tests.service.store.reading_store_contract import judged

store = SqliteReadings(Path(sys.argv[1]), writer=True)
first = int(sys.argv[2])
for number in range(first, first + 10**6):
    rows = [judged(number, number, device=f"d{n}") for n in range(7)]
    store.commit(Batch(judged=rows))
    print(number, flush=True)
"""


def killed_writer(file: Path, *, commits: int, first: int = 0, linger_s: float = 0.0) -> int:
    """Run a writer, kill -9 it after ``commits``; return the last commit it told of."""
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(file), str(first)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )
    assert process.stdout is not None
    with process.stdout:
        for _ in range(commits):
            line = process.stdout.readline()
            assert line
        time.sleep(linger_s)
        process.send_signal(signal.SIGKILL)
        process.wait()
        told_of = [int(line), *(int(more) for more in process.stdout.read().split())]
    return told_of[-1]


@pytest.mark.faults
def test_kill_in_the_middle_of_commits_loses_none_and_halves_none(file: Path) -> None:
    first = 0
    for round_ in range(4):
        last = killed_writer(file, commits=15, first=first, linger_s=0.003 * round_)
        store = SqliteReadings(file, writer=True)
        windows = [store.window(one.id, at(0), at(10**6)) for one in store.series()]
        lengths = {len(window) for window in windows}
        assert len(windows) == 7
        assert len(lengths) == 1
        stored = lengths.pop()
        # What was told of is there; one more may be: committed, and killed before it told.
        assert stored in (last + 1, last + 2)
        assert [one.value for one in windows[0]] == [float(n) for n in range(stored)]
        store.close()
        assert told(file, "integrity_check") == "ok"
        first = stored
