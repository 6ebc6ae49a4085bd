"""What the looks at the service itself find, with real files and a real broker."""

import json
import os
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from service.backup.contents import LAST_BACKUP
from service.backup.making import make_backup
from service.heartbeat import PARTS, Heartbeat, heartbeat_file, write_heartbeat
from service.looks.all_looks import look_at_all
from service.looks.backup_look import look_at_backup
from service.looks.integrity_look import look_at_databases
from service.looks.service_look import (
    look_at_broker,
    look_at_pages,
    look_at_settings,
    look_at_watch,
)
from service.machine.finding import State
from tests.broker_fixture import running_broker
from tests.service.backup.kept_shed import filled_shed
from tests.service.looks.around import NOW, around
from tests.service.shed_in_a_folder import CONFIGURATION, said, shed_in
from tests.walks.running_shed import free_port


def with_broker(port: int, more: str = "") -> str:
    broker = f'[broker]\nurl = "mqtt://127.0.0.1:{port}"\n{more}\n[[place]]'
    return CONFIGURATION.replace("[[place]]", broker, 1)


def with_pages(port: int) -> str:
    return CONFIGURATION.replace("[[place]]", f"[pages]\nport = {port}\n[[place]]", 1)


@contextmanager
def answering(status: int) -> Iterator[int]:
    """A server on loopback that gives one answer to everything."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(status)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield server.server_port
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_no_heartbeat_is_never_well() -> None:
    assert look_at_watch(None).state is State.LOOK


def test_pages_that_do_not_answer_are_told(tmp_path: Path) -> None:
    settings = around(tmp_path, configuration=with_pages(free_port())).settings
    assert look_at_pages(settings).state is State.LOOK


@pytest.mark.parametrize(
    ("status", "expected"), [(200, State.WELL), (503, State.WELL), (404, State.LOOK)]
)
def test_pages_live_when_their_health_answers(tmp_path: Path, status: int, expected: State) -> None:
    with answering(status) as port:
        settings = around(tmp_path, configuration=with_pages(port)).settings
        assert look_at_pages(settings).state is expected


@pytest.mark.broker
def test_a_broker_that_lets_us_in_is_well(tmp_path: Path) -> None:
    with running_broker(tmp_path / "broker", "") as broker:
        found = look_at_broker(around(tmp_path, configuration=with_broker(broker.port)), None)
    assert found.state is State.WELL


def test_nobody_at_the_brokers_address_is_told(tmp_path: Path) -> None:
    found = look_at_broker(around(tmp_path, configuration=with_broker(free_port())), None)
    assert (found.state, "nobody answers" in found.sentence) == (State.LOOK, True)


@pytest.mark.broker
def test_a_password_that_the_broker_refuses_is_told_and_not_shown(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data/password").write_text("marker-of-the-broker")
    more = 'username = "shed"\npassword_file = "password"\n'
    (tmp_path / "passwords").write_text("")
    lines = f"password_file {tmp_path}/passwords\n"
    with running_broker(tmp_path / "broker", lines) as broker:
        found = look_at_broker(around(tmp_path, configuration=with_broker(broker.port, more)), None)
    assert found.state is State.LOOK
    assert "marker" not in found.sentence + found.to_do


def test_a_password_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    more = 'username = "shed"\npassword_file = "password"\n'
    found = look_at_broker(around(tmp_path, configuration=with_broker(free_port(), more)), None)
    assert (found.state, "can't be read" in found.sentence) == (State.LOOK, True)


def test_a_broker_with_tls_cannot_be_told_without_watch(tmp_path: Path) -> None:
    configuration = with_broker(8883).replace("mqtt://", "mqtts://")
    found = look_at_broker(around(tmp_path, configuration=configuration), None)
    assert found.state is State.CANNOT_TELL


def test_settings_that_are_not_in_force_are_told() -> None:
    assert look_at_settings(()).state is State.WELL
    assert look_at_settings(("shed.name: nothing",)).state is State.LOOK


@pytest.mark.parametrize("deep", [False, True])
def test_sound_databases_are_well(tmp_path: Path, deep: bool) -> None:
    filled_shed(tmp_path / "data")
    found = list(look_at_databases(around(tmp_path, deep=deep)))
    assert [one.what for one in found] == ["readings.db", "records.db"]
    assert {one.state for one in found} == {State.WELL}


def test_databases_that_are_not_there_are_not_well(tmp_path: Path) -> None:
    found = list(look_at_databases(around(tmp_path)))
    assert {one.state for one in found} == {State.CANNOT_TELL}


@pytest.mark.parametrize("name", ["readings.db", "records.db"])
def test_a_damaged_database_is_told(tmp_path: Path, name: str) -> None:
    file = filled_shed(tmp_path / "data") / name
    size = file.stat().st_size
    with file.open("r+b") as opened:
        opened.seek(4096)
        opened.write(os.urandom(size - 4096))
    found = {one.what: one for one in look_at_databases(around(tmp_path))}
    assert found.pop(name).state is State.LOOK
    assert {one.state for one in found.values()} == {State.WELL}


def test_only_a_deep_look_finds_a_row_that_points_nowhere(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    db = sqlite3.connect(data / "records.db")
    db.execute("INSERT INTO clutches (box, pair_id, round) VALUES ('no such box', 99, 1)")
    db.commit()
    db.close()
    quick, deep = (
        list(look_at_databases(around(tmp_path, deep=deep)))[1] for deep in (False, True)
    )
    assert (quick.state, deep.state) == (State.WELL, State.LOOK)


def test_a_shed_without_a_backup_is_not_well(tmp_path: Path) -> None:
    assert look_at_backup(around(tmp_path)).state is State.LOOK


@pytest.mark.parametrize(("hours", "words"), [(1, "same disk"), (47, "same disk"), (49, "old")])
def test_a_backup_beside_the_data_is_told_and_an_old_one_first(
    tmp_path: Path, hours: int, words: str
) -> None:
    data = filled_shed(tmp_path / "data")
    make_backup(data, now=NOW - timedelta(hours=hours))
    found = look_at_backup(around(tmp_path))
    assert (found.state, words in found.sentence) == (State.LOOK, True)


@pytest.mark.parametrize(
    ("days", "expected"), [(1, State.WELL), (30, State.WELL), (40, State.LOOK)]
)
def test_a_backup_on_another_disk_counts_for_a_month(
    tmp_path: Path, days: int, expected: State
) -> None:
    data = filled_shed(tmp_path / "data")
    make_backup(data, now=NOW)
    marker = json.loads((data / LAST_BACKUP).read_text())
    marker["elsewhere_at"] = (NOW - timedelta(days=days)).isoformat()
    (data / LAST_BACKUP).write_text(json.dumps(marker))
    assert look_at_backup(around(tmp_path)).state is expected


def test_a_backup_in_memory_is_known_to_be_on_another_disk(tmp_path: Path) -> None:
    """Or the other way round, where tests write into memory."""
    data = filled_shed(tmp_path / "data")
    folders = (Path("/dev/shm"), Path(tempfile.gettempdir()))
    others = [one for one in folders if os.access(one, os.W_OK)]
    others = [one for one in others if one.stat().st_dev != data.stat().st_dev]
    if not others:
        pytest.skip("needs a second file system")
    dest = others[0] / f"clutchweather-test-{os.getpid()}.tar.gz"
    try:
        assert not make_backup(data, dest, now=NOW).same_disk
        assert look_at_backup(around(tmp_path)).state is State.WELL
    finally:
        dest.unlink(missing_ok=True)


def test_a_backup_that_was_removed_is_told(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    make_backup(data, now=NOW).file.unlink()
    found = look_at_backup(around(tmp_path))
    assert (found.state, "no more" in found.sentence) == (State.LOOK, True)


@pytest.mark.parametrize("simulated", [True, False])
def test_the_clock_is_not_blamed_for_the_time_of_a_simulated_shed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, simulated: bool
) -> None:
    """Where nobody runs by another time, readings from the future are told."""
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    monkeypatch.delenv("RUNTIME_DIRECTORY", raising=False)
    present = datetime.now(UTC)
    here = replace(around(tmp_path), now=present)
    with shed_in(here.data) as shed:
        shed.walk(said(18.0, present + timedelta(hours=6)))
    now = time.monotonic()
    beat = Heartbeat(
        pid=os.getpid(),
        at=present + timedelta(hours=6 if simulated else 0),
        started_at=present,
        written_monotonic=now,
        moved_monotonic=dict.fromkeys(PARTS, now),
        broker="connected",
    )
    write_heartbeat(heartbeat_file(here.data), beat)
    (clock,) = (one for one in look_at_all(here) if one.what == "clock")
    assert ("newest reading" in clock.sentence) is not simulated


def test_no_look_shows_a_secret(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    for file in ("broker/service-password", "own.key", "told/notices.txt"):
        (data / file).chmod(0o644)
    configuration = (data / "clutchweather.toml").read_text()
    found = look_at_all(around(tmp_path, configuration=configuration))
    told = json.dumps([(one.sentence, one.to_do) for one in found])
    assert "told/notices.txt" in told
    assert "marker-of" not in told


def test_looks_change_nothing(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    before = {file: file.read_bytes() for file in data.rglob("*") if file.is_file()}
    look_at_all(
        around(tmp_path, deep=True, configuration=(data / "clutchweather.toml").read_text())
    )
    assert {file: file.read_bytes() for file in data.rglob("*") if file.is_file()} == before
