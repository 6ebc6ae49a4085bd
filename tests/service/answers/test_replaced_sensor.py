"""After a sensor was replaced or moved, nights, latest values and limits follow the place."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.answers.latest import latest
from service.answers.nights import nights
from service.answers.shed_series import shed_series
from tests.service.shed_in_a_folder import (
    CONFIGURATION,
    EVENING,
    MINUTE,
    Shed,
    minutes,
    said,
    shed_in,
)

HOUR = timedelta(hours=1)
REPLACED = CONFIGURATION.replace('device = "th-shed"', 'device = "th-new"')
MOVED = CONFIGURATION.replace(
    'device = "th-shed"\nplace = "shed"', 'device = "th-shed"\nplace = "box-1"'
).replace('device = "th-box"\nplace = "box-1"', 'device = "th-box"\nplace = "shed"')


@pytest.fixture
def replaced(tmp_path: Path) -> Iterator[Shed]:
    """One told 10° from 22:00 to 3:00; then another took its place and told 12° until 8:00."""
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(10.0, 0, 300))
    shed = Shed(tmp_path, REPLACED)
    shed.path.restore(EVENING + 5 * HOUR)
    shed.walk(*minutes(12.0, 300, 600, device="th-new"))
    yield shed
    shed.stores.close()


def test_a_night_in_which_the_sensor_was_replaced_is_whole(replaced: Shed) -> None:
    now = EVENING + 10 * HOUR
    told = nights(replaced.stores.readings, replaced.settings, EVENING, now, now)
    # From 22:00 (nothing is known before) to 6:30 by the lamps, of a night that began at 20:30.
    assert [one["low_c"] for one in told] == [10.0]
    assert told[0]["coverage"] == pytest.approx(8.5 / 10, abs=0.01)
    assert told[0]["hours_below"]["10.0"] == 0.0


def test_latest_tells_the_new_sensor_alone(replaced: Shed) -> None:
    now = EVENING + 10 * HOUR
    told = latest(replaced.stores.readings.latest(), replaced.settings.sensors, now)
    assert [(one["device"], one["value"], one["stale"]) for one in told] == [
        ("th-new", 12.0, False)
    ]


def test_latest_tells_the_old_sensor_until_the_new_one_has_spoken(tmp_path: Path) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(10.0, 0, 30))
        settings = Shed(tmp_path / "elsewhere", REPLACED).settings
        told = latest(shed.stores.readings.latest(), settings.sensors, EVENING + HOUR)
    assert [(one["device"], one["stale"]) for one in told] == [("th-shed", True)]


def test_a_sensor_that_was_moved_stands_for_its_old_place_no_more(tmp_path: Path) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(10.0, 0, 30))
    shed = Shed(tmp_path, MOVED)
    shed.path.restore(EVENING + HOUR)
    shed.walk(*minutes(12.0, 60, 90, device="th-box"))
    told = shed_series(shed.stores.readings.series(), shed.settings).temperature
    shed.stores.close()
    assert told is not None
    assert told.leading.device == "th-box"
    assert [one.device for one in told.before] == ["th-shed"]


def test_a_sensor_that_was_moved_does_not_keep_an_alarm_of_its_old_place_up(
    tmp_path: Path,
) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(2.0, 0, 30))
        assert shed.alarms("cold-night")[0].state.active
    shed = Shed(tmp_path, MOVED)
    shed.path.restore(EVENING + HOUR)
    assert shed.alarms("cold-night")[0].state.active  # nobody has told that it is over
    shed.walk(*minutes(12.0, 60, 90, device="th-box"))
    over = shed.alarms("cold-night")[0]
    shed.stores.close()
    assert not over.state.active
    assert over.cleared_at is not None
    assert EVENING + 75 * MINUTE <= over.cleared_at <= EVENING + 76 * MINUTE


def test_the_overdue_alarm_of_a_replaced_sensor_ends_and_says_why(tmp_path: Path) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(said(10.0, EVENING))
        shed.tick(EVENING + HOUR)
        assert shed.alarms("overdue:th-shed")[0].state.active
    shed = Shed(tmp_path, REPLACED)
    shed.path.restore(EVENING + HOUR)
    shed.path.save_alarms()
    over = shed.alarms("overdue:th-shed")[0]
    shed.stores.close()
    assert not over.state.active
    assert over.text.endswith("This sensor is set up no more.")
