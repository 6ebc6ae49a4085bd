"""Records of the layout before shelving, with alarms open, opened by this version."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from service.alarm_requests import DONE, carry_out
from service.alarms.alarm import AlarmState
from service.answers.alarms import alarms
from service.store.sql_engine import sql_url
from service.store.sql_schema import upgrade
from tests.service.shed_in_a_folder import EVENING, MINUTE, Shed, load, said

# As the version before wrote them, by its own code.
ROWS = """
INSERT INTO alarms VALUES('c15b', 'cold-night', 'shed', 'high', 'normal',
 '2026-03-01T21:15:00.000000Z', 4.2, 5.0,
 'Hazel 4.2°, under 5° since 22:05. Close vents or heat, and look.',
 '2026-03-01T21:45:00.000000Z', '2026-03-01T22:00:00.000000Z', 'Ada');
INSERT INTO alarms VALUES('cd48', 'overdue:th-box', 'box-1', 'medium', 'acknowledged',
 '2026-03-01T23:02:00.000000Z', 180.0, 180.0,
 'Box 1''s sensor th-box silent, last heard 1 Mar 23:59. Look at its battery and place.',
 NULL, '2026-03-01T23:21:00.000000Z', 'Ada');
INSERT INTO alarms VALUES('46a0', 'cold-night', 'shed', 'high', 'unacknowledged',
 '2026-03-01T23:10:00.000000Z', 3.5, 5.0,
 'Hazel 3.5°, under 5° since 00:00. Close vents or heat, and look.', NULL, NULL, NULL);
INSERT INTO requests VALUES(1, 'acknowledge', '46a0', 'Bo', '2026-03-01T23:22:00.000000Z',
 NULL, NULL);
"""
LATER = EVENING + timedelta(hours=2, minutes=23)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    """Started anew at LATER; nobody has written a word of it since."""
    load(tmp_path)
    upgrade(sql_url("sqlite:///records.db", tmp_path), newest="0004")
    with closing(sqlite3.connect(tmp_path / "records.db")) as file:
        file.executescript(ROWS)
    made = Shed(tmp_path)
    made.path.restore(LATER)
    made.path.save_alarms()
    yield made
    made.stores.close()


def test_every_alarm_is_told_as_it_was(shed: Shed) -> None:
    told = [
        (one["id"], one["state"], one["raised_at"], one["acknowledged_by"], one["text"][:11])
        for one in alarms(shed.alarms())
    ]
    assert told == [
        ("46a0", "unacknowledged", "2026-03-01T23:10:00Z", None, "Hazel 3.5°,"),
        ("cd48", "acknowledged", "2026-03-01T23:02:00Z", "Ada", "Box 1's sen"),
        ("c15b", "normal", "2026-03-01T21:15:00Z", "Ada", "Hazel 4.2°,"),
    ]
    assert all(one.told_at == one.raised_at for one in shed.alarms())


def test_a_danger_stays_until_it_is_seen_to_be_over(shed: Shed) -> None:
    since = LATER + MINUTE
    shed.walk(*(said(3.0, since + n * MINUTE) for n in range(5)))
    (cold, _) = shed.alarms("cold-night")
    assert (cold.id, cold.state) == ("46a0", AlarmState.UNACKNOWLEDGED)
    shed.walk(*(said(9.0, since + n * MINUTE) for n in range(5, 25)))
    (cold, _) = shed.alarms("cold-night")
    assert cold.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_what_was_asked_before_is_carried_out_after(shed: Shed) -> None:
    (asked,) = shed.stores.records.requests.pending()
    assert carry_out(shed.path.alarms, asked, LATER) == DONE
    assert shed.alarms("cold-night")[0].acknowledged_by == "Bo"


def test_a_silence_of_then_is_known_for_one(shed: Shed) -> None:
    assert shed.alarms("overdue:th-box")[0].kind == "overdue"


def test_a_danger_that_was_acknowledged_long_ago_is_to_be_seen_again(shed: Shed) -> None:
    (asked,) = shed.stores.records.requests.pending()
    carry_out(shed.path.alarms, asked, LATER)
    shed.walk(said(3.0, LATER + MINUTE))
    shed.restart(LATER + 2 * MINUTE)
    shed.tick(LATER + timedelta(hours=6, minutes=1))
    assert shed.alarms("cold-night")[0].state is AlarmState.UNACKNOWLEDGED
