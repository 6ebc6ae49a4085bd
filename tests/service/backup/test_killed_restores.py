"""kill -9 at every step of a restore: the old, the new, or what the next start makes new."""

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.backup.errors import RestoreUnfinishedError
from service.backup.restore_journal import is_cut_short, settle
from service.backup.restoring import restore
from service.commands.data_folder import existing
from tests.service.backup.kept_shed import NOW, archive_members, backup_of, contents, filled_shed

NEW = 60
"""Readings in the backup."""

STRIDE = 5
"""Fewer steps than the moves take."""


class Restorer:
    """Restores a copy of ``old``, and is killed on the way."""

    def __init__(self, archive: Path, old: Path, data: Path) -> None:
        self.archive, self.old, self.data = archive, old, data
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.service.backup.killed_restore"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def killed_at(self, step: int) -> bool:
        """Whether the kill came before the end; the data folder is as it left it."""
        shutil.rmtree(self.data, ignore_errors=True)
        shutil.copytree(self.old, self.data)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(f"{self.archive}\t{self.data}\t{step}\n")
        self._process.stdin.flush()
        answer = self._process.stdout.readline().strip()
        assert answer in {"killed", "done"}, answer
        return answer == "killed"

    def cut_short(self, *, without: str = "") -> None:
        """Killed amid the moves; ``without``: at a step when that file is gone."""
        step = self._near_the_moves()
        while self.killed_at(step):
            if is_cut_short(self.data) and not (without and (self.data / without).exists()):
                return
            step += 1
        pytest.fail("no step leaves that")

    def _near_the_moves(self) -> int:
        """A step before them; unpacking, which comes first, takes many."""
        step = 1
        while self.killed_at(step + STRIDE) and not is_cut_short(self.data):
            step += STRIDE
        return step

    def end(self) -> None:
        self._process.communicate()


@pytest.fixture
def restorer(tmp_path: Path) -> Iterator[Restorer]:
    old = filled_shed(tmp_path / "old", celsius=21.0)
    (old / "only-here.txt").write_text("a note of the keeper")
    archive = backup_of(filled_shed(tmp_path / "first"), tmp_path / "kept.tar.gz").file
    made = Restorer(archive, old, tmp_path / "data")
    try:
        yield made
    finally:
        made.end()


def readings_in(data: Path) -> int:
    db = sqlite3.connect(data / "readings.db")
    assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    found: int = db.execute("SELECT count(*) FROM readings").fetchone()[0]
    db.close()
    return found


def without_traces(data: Path) -> dict[str, bytes]:
    """What makes the shed: without what is aside, and without what was being unpacked."""
    return {
        name: text
        for name, text in contents(data).items()
        if not name.startswith(("before-restore-", ".restoring-", "from-elsewhere-"))
        and not name.endswith(".new")
    }


@pytest.mark.faults
def test_a_kill_at_any_step_leaves_the_old_the_new_or_what_the_next_start_finishes(
    restorer: Restorer,
) -> None:
    before = contents(restorer.old)
    ends = {"old": 0, "new": 0, "finished": 0}
    step = 1
    while restorer.killed_at(step):
        end = _end(restorer.data, before, restorer.archive, step)
        ends[end] += 1
        # Unpacking touches nothing that is there; there every third step will do.
        step += 3 if end == "old" else 1
    assert min(ends.values()) > 0, ends
    assert step > 100


def _end(data: Path, before: dict[str, bytes], archive: Path, step: int) -> str:
    cut_short = is_cut_short(data)
    if cut_short:
        settle(data)
    assert not is_cut_short(data)
    if without_traces(data) == before:
        return "old"
    members = archive_members(archive)
    there = without_traces(data)
    for name, text in members.items():
        if name.startswith("data/") and not name.endswith(".db"):
            assert there[name.removeprefix("data/")] == text, (step, name)
    assert readings_in(data) == NEW, step
    assert "only-here.txt" not in there
    (aside,) = data.glob("before-restore-*")
    assert (aside / "only-here.txt").exists(), step
    assert (aside / "readings.db").read_bytes() == before["readings.db"], step
    return "finished" if cut_short else "new"


@pytest.mark.faults
def test_what_was_made_between_a_kill_and_the_end_is_kept(restorer: Restorer) -> None:
    """Somebody starts an older version, which knows nothing of the note."""
    restorer.cut_short(without="records.db")
    data = restorer.data
    (data / "records.db").write_text("made meanwhile")
    (data / "records.db-journal").write_text("its journal")
    settle(data)
    (aside,) = data.glob("before-restore-*")
    assert (aside / "meanwhile" / "records.db").read_text() == "made meanwhile"
    assert (aside / "meanwhile" / "records.db-journal").read_text() == "its journal"
    assert readings_in(data) == NEW


@pytest.mark.faults
def test_the_next_restore_finishes_the_one_that_was_cut_short(restorer: Restorer) -> None:
    restorer.cut_short()
    done = restore(restorer.archive, restorer.data, now=NOW)
    assert done.finished_first
    assert readings_in(restorer.data) == NEW
    assert len(list(restorer.data.glob("before-restore-*"))) == 2
    assert not list(restorer.data.glob(".restoring-*"))


@pytest.mark.faults
def test_nothing_is_asked_of_a_shed_between_the_old_and_the_new(restorer: Restorer) -> None:
    restorer.cut_short()
    with pytest.raises(RestoreUnfinishedError, match="cut short"):
        existing(restorer.data)
    settle(restorer.data)
    assert existing(restorer.data) == restorer.data


@pytest.mark.faults
def test_a_note_that_cannot_be_read_is_told_and_nothing_is_moved(restorer: Restorer) -> None:
    restorer.cut_short()
    (restorer.data / "restore-journal.json").write_text("{")
    before = contents(restorer.data)
    with pytest.raises(RestoreUnfinishedError, match="before-restore-"):
        settle(restorer.data)
    assert contents(restorer.data) == before
