"""Signs of life: written whole, read or not read, and aged by the monotonic clock."""

import os
import time
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.heartbeat import (
    Heartbeat,
    heartbeat_file,
    newest_heartbeat,
    read_heartbeat,
    write_heartbeat,
)

NOON = datetime(2026, 3, 29, 12, 0, tzinfo=UTC)


def beat() -> Heartbeat:
    now = time.monotonic()
    return Heartbeat(
        pid=4711,
        at=NOON,
        started_at=NOON,
        written_monotonic=now,
        moved_monotonic={"store": now - 3.0},
        broker="connected",
        notes=("a note",),
    )


def test_a_heartbeat_is_read_as_it_was_written(tmp_path: Path) -> None:
    written = beat()
    write_heartbeat(tmp_path / "beat.json", written)
    assert read_heartbeat(tmp_path / "beat.json") == written


@pytest.mark.parametrize("text", ["", "{", "[]", '{"pid": 1}', "null"])
def test_what_is_no_heartbeat_tells_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "beat.json").write_text(text)
    assert read_heartbeat(tmp_path / "beat.json") is None


def test_no_file_tells_nothing(tmp_path: Path) -> None:
    assert read_heartbeat(tmp_path / "none.json") is None


def test_ages_are_in_real_seconds() -> None:
    one = beat()
    assert one.age_s() == pytest.approx(0.0, abs=5.0)
    assert one.part_age_s("store") == pytest.approx(3.0, abs=5.0)
    assert replace(one, written_monotonic=one.written_monotonic - 60).age_s() > 59


def test_a_part_that_never_moved_has_no_age() -> None:
    assert beat().part_age_s("rules") is None


def test_each_data_folder_has_a_heartbeat_of_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
    one, other = heartbeat_file(tmp_path / "a"), heartbeat_file(tmp_path / "b")
    assert one != other
    assert one.parent == tmp_path


def test_a_runtime_folder_that_can_not_be_written_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("RUNTIME_DIRECTORY", raising=False)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path / "not there"))
    assert heartbeat_file(tmp_path).parent.is_dir()


@pytest.mark.parametrize("place", ["clutchweather", "user/1000"])
def test_the_heartbeat_of_a_watch_under_systemd_is_found_from_elsewhere(
    tmp_path: Path, place: str
) -> None:
    (tmp_path / "data").mkdir()
    name = heartbeat_file(tmp_path / "data").name
    (tmp_path / "run" / place).mkdir(parents=True)
    assert newest_heartbeat(tmp_path / "data", tmp_path / "run") is None
    written = beat()
    write_heartbeat(tmp_path / "run" / place / name, written)
    assert newest_heartbeat(tmp_path / "data", tmp_path / "run") == written


def test_the_newest_of_several_heartbeats_counts(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    name = heartbeat_file(tmp_path / "data").name
    old, new = beat(), beat()
    for place, written in (("clutchweather", old), ("user/1000", new)):
        (tmp_path / "run" / place).mkdir(parents=True)
        write_heartbeat(tmp_path / "run" / place / name, written)
    assert newest_heartbeat(tmp_path / "data", tmp_path / "run") == new


def test_a_heartbeat_from_before_the_machine_was_started_anew_hides_none(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    name = heartbeat_file(tmp_path / "data").name
    old, new = replace(beat(), written_monotonic=time.monotonic() + 10**6), beat()
    for place, written in (("clutchweather", old), ("user/1000", new)):
        (tmp_path / "run" / place).mkdir(parents=True)
        write_heartbeat(tmp_path / "run" / place / name, written)
    assert newest_heartbeat(tmp_path / "data", tmp_path / "run") == new


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")
def test_a_heartbeat_that_a_stranger_wrote_does_not_count(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    file = tmp_path / "run/clutchweather" / heartbeat_file(tmp_path / "data").name
    file.parent.mkdir(parents=True)
    write_heartbeat(file, beat())
    os.chown(file, 1234, 1234)
    assert newest_heartbeat(tmp_path / "data", tmp_path / "run") is None
