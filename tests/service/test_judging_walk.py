"""Readings judged by those before them, through the walk: stored, put right, and remembered."""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

import pytest

from devices.message import Message
from devices.reading import Quantity
from service.errors import StoreUnavailableError
from service.quality.flag import Flag
from tests.service.shed_in_a_folder import CONFIGURATION, EVENING, MINUTE, Shed, said, shed_in

PASS, SUSPECT, FAIL = Flag.PASS, Flag.SUSPECT, Flag.FAIL
HOUR = timedelta(hours=1)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    with shed_in(tmp_path / "data") as shed:
        yield shed


def told(values: Sequence[float], since: int = 0) -> list[Message]:
    return [said(value, EVENING + (since + n) * MINUTE) for n, value in enumerate(values)]


def stored(shed: Shed) -> list[tuple[float, Flag]]:
    """Values and flags of the shed's thermometer."""
    (series,) = (
        one.id
        for one in shed.stores.readings.series()
        if (one.device, one.quantity) == ("th-shed", Quantity.TEMPERATURE)
    )
    window = shed.stores.readings.window(series, EVENING, EVENING + 99 * HOUR)
    return [(one.value, one.flag) for one in window]


def test_a_spike_is_put_right_in_the_store_when_the_next_reading_comes(shed: Shed) -> None:
    shed.walk(*told([8.0, 8.1]))
    shed.walk(*told([30.0], since=2))
    assert stored(shed)[-1] == (30.0, SUSPECT)
    shed.walk(*told([8.1], since=3))
    assert stored(shed) == [(8.0, PASS), (8.1, PASS), (30.0, FAIL), (8.1, PASS)]


def test_a_spike_within_a_batch_is_put_right_in_it(shed: Shed) -> None:
    shed.walk(*told([8.0, 8.1, 30.0, 8.1]))
    assert [flag for _, flag in stored(shed)] == [PASS, PASS, FAIL, PASS]


def test_a_spike_that_raised_an_alarm_takes_nothing_back_and_raises_none_anew(
    tmp_path: Path,
) -> None:
    at_once = CONFIGURATION.replace('on_delay = "10 min"', 'on_delay = "0 s"')
    with shed_in(tmp_path / "data", at_once) as shed:
        shed.walk(*told([8.0, 8.1, -9.0]))
        (before,) = shed.alarms("cold-night")
        shed.walk(*told([8.1], since=3))
        assert stored(shed)[2] == (-9.0, FAIL)
        assert shed.alarms("cold-night") == [before]
        shed.restart(EVENING + 4 * MINUTE)
        assert shed.alarms("cold-night") == [before]
        assert before.state.active


def test_a_frost_is_told_though_the_sensor_seems_stuck(shed: Shed) -> None:
    shed.walk(*told([6.0, 6.03, 6.06, *[4.0] * 90]))
    assert stored(shed)[-1] == (4.0, SUSPECT)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state.active


def test_the_judge_goes_on_after_a_start_where_it_was(shed: Shed, tmp_path: Path) -> None:
    story = [8.0, 8.03, 8.06, *[8.0] * 75, 30.0, 8.0]
    with shed_in(tmp_path / "other") as other:
        other.walk(*told(story))
        for n, message in enumerate(told(story)):
            # Not between a spike and what follows it: that is told by two readings of one run.
            if n % 7 == 0 and n < len(story) - 2:
                shed.restart(message.received_at)
            shed.walk(message)
        assert stored(shed) == stored(other)
        assert SUSPECT in {flag for _, flag in stored(other)}


def test_what_could_not_be_stored_is_judged_alike_when_it_comes_again(shed: Shed) -> None:
    shed.walk(*told([8.0, 8.03, 8.06]))
    again = told([*[8.0] * 75, 30.0, 8.0], since=3)
    for _ in range(2):
        with (
            patch.object(shed.stores.readings, "commit", side_effect=StoreUnavailableError("full")),
            pytest.raises(StoreUnavailableError),
        ):
            shed.walk(*again)
        shed.path.heed(again)
    shed.walk(*again)
    flags = [flag for _, flag in stored(shed)]
    assert flags[3:62] == [PASS] * 59
    assert flags[63:] == [SUSPECT] * (len(flags) - 65) + [FAIL, PASS]
