"""Backups of a shed that is being written to all the while."""

import sqlite3
import subprocess
import sys
import tarfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.backup.making import make_backup
from service.backup.sqlite_snapshot import PAGES_A_STEP
from tests.listening import wait_until

COMMITS_A_SECOND = 200
OF_THE_WRITER = """
    SELECT value FROM readings JOIN series ON series.id = series WHERE device = 'th-shed'
    ORDER BY value
"""
BACKUPS = 20


@pytest.fixture
def written_to(tmp_path: Path) -> Iterator[Path]:
    """A data folder with 200 commits of readings a second, and 30 of records."""
    data = tmp_path / "data"
    data.mkdir()
    writer = subprocess.Popen(
        [sys.executable, "-m", "tests.service.backup.committing", str(data), str(COMMITS_A_SECOND)]
    )
    try:
        wait_until(lambda: committed(data)[0] > 50 and committed(data)[1] > 5, within=30)
        yield data
        assert writer.poll() is None, "the writers were brought to a fall"
    finally:
        writer.kill()
        writer.wait()


def committed(data: Path) -> tuple[int, int]:
    try:
        text = (data / "committed").read_text()
    except FileNotFoundError:
        return 0, 0
    return (int(text[:10]), int(text[10:20])) if len(text) == 20 else (0, 0)


def opened(archive: Path, name: str, folder: Path) -> sqlite3.Connection:
    """A database from an archive, taken out by Python's tarfile and not by our own reader."""
    with tarfile.open(archive) as tar:
        tar.extract(f"data/{name}", folder, filter="data")
    return sqlite3.connect(folder / "data" / name)


@pytest.mark.faults
def test_every_backup_under_load_is_sound_and_holds_all_that_was_committed_before_it(
    written_to: Path, tmp_path: Path
) -> None:
    for number in range(BACKUPS):
        readings, requests = committed(written_to)
        made = make_backup(written_to, tmp_path / f"{number}.tar.gz", now=datetime.now(UTC))
        folder = tmp_path / str(number)

        db = opened(made.file, "readings.db", folder)
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        kept = [row[0] for row in db.execute(OF_THE_WRITER)]
        assert db.execute("PRAGMA page_count").fetchone()[0] > 2 * PAGES_A_STEP
        db.close()
        assert kept == [float(n) for n in range(len(kept))]
        assert len(kept) >= readings

        db = opened(made.file, "records.db", folder)
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert db.execute("SELECT count(*) FROM requests").fetchone()[0] >= requests
        db.close()


@pytest.mark.faults
def test_writers_go_on_at_their_pace_while_backups_are_made(
    written_to: Path, tmp_path: Path
) -> None:
    before, started = committed(written_to)[0], time.monotonic()
    for number in range(5):
        make_backup(written_to, tmp_path / f"{number}.tar.gz", now=datetime.now(UTC))
    time.sleep(max(0.0, started + 2 - time.monotonic()))
    rate = (committed(written_to)[0] - before) / (time.monotonic() - started)
    assert rate > COMMITS_A_SECOND / 2
