"""What is shown without JSON is for a person at a terminal."""

from datetime import timedelta
from pathlib import Path

import pytest

from service.clock import FixedClock
from service.commands.show import run_show
from tests.service.shed_in_a_folder import EVENING, minutes, shed_in


def test_a_night_is_one_line_of_a_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(4.0, 0, 30))
    now = EVENING + timedelta(hours=12)
    run_show("nights", tmp_path, None, FixedClock(now), since=EVENING, until=now, as_json=False)
    lines = capsys.readouterr().out.splitlines()
    [night] = [line for line in lines if "2026-03-01" in line.split("T")[0]]
    assert " 4.0 " in night
    assert "not known" in night  # nobody told how cold the coldest surface is
    assert "hours_below" not in lines[1]


def test_a_day_of_light_is_one_line_of_a_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(4.0, 0, 30))
    now = EVENING + timedelta(hours=2)
    run_show("light", tmp_path, None, FixedClock(now), since=EVENING, until=now, as_json=False)
    lines = capsys.readouterr().out.splitlines()
    days = [line for line in lines if "2026-03-01" in line.split("T")[0]]
    assert len(days) == 1
    assert "not known" in days[0]  # no light sensor told
    assert "lamps_late_min" in lines[1]
