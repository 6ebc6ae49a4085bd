"""From stored readings to what is said of tonight, over real stores."""

import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from service.answers.outlook import outlook
from service.climate.cold_surface import ColdSurface
from service.climate.light_plan import LightPlan, Site
from service.climate.outlook.model import OutlookModel
from service.climate.outlook.outlook_json import to_json
from service.quality.flag import Flag
from service.store.outlook_store import KeptNight
from service.tonight.catching_up import catch_up
from service.tonight.issuing import HourlyIssuing, last_morning
from service.tonight.night_table import fill_nights, kept_rows
from service.tonight.study_child import StudyChild, study_command
from service.tonight.studying import study_nights
from tests.service.shed_in_a_folder import Shed
from tests.service.tonight.falling_nights import (
    DAY,
    HOUR,
    NOON,
    keep,
    low_of,
    shed_of,
    told,
)

GAP_ON, DOUBTED_ON, NIGHTS = 3, 5, 10
LATE = NOON + NIGHTS * DAY + 11 * HOUR
"""Eleven in the evening after the last of the nights."""


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shed]:
    """Ten nights and an evening: one has a hole of three hours, in one the sensor was doubted."""
    with shed_of(tmp_path_factory.mktemp("filled")) as shed:
        hole = NOON + GAP_ON * DAY + 12 * HOUR
        doubt = NOON + DOUBTED_ON * DAY + 10 * HOUR
        keep(shed, told(NOON, hole))
        keep(shed, told(hole + 3 * HOUR, doubt))
        keep(shed, told(doubt, doubt + 3 * HOUR, Flag.SUSPECT))
        keep(shed, told(doubt + 3 * HOUR, LATE))
        catch_up(shed.stores.readings, shed.stores.records.outlook, shed.settings, LATE)
        yield shed


def issuing(shed: Shed) -> HourlyIssuing:
    return HourlyIssuing(shed.stores.readings, shed.stores.records.outlook, shed.settings)


def test_each_night_that_is_over_stands_in_the_table_with_its_low(filled: Shed) -> None:
    rows = kept_rows(filled.stores.records.outlook)
    assert [row.evening for row in rows] == [date(2026, 2, 1) + n * DAY for n in range(NIGHTS)]
    for day, row in enumerate(rows):
        # The mean of the last quarter of an hour lies a little above its last reading.
        assert row.low_c == pytest.approx(low_of(day), abs=0.25)


def test_nights_with_a_hole_or_doubtful_readings_teach_nothing(filled: Shed) -> None:
    rows = kept_rows(filled.stores.records.outlook)
    assert [n for n, row in enumerate(rows) if not row.counts] == [GAP_ON, DOUBTED_ON]


def test_a_night_that_is_only_colder_than_for_weeks_teaches_like_any_other(tmp_path: Path) -> None:
    colder = "not as it was here: -3.0 °C, and the last 14 days held 8.0 to 15.0"
    with shed_of(tmp_path) as shed:
        keep(shed, told(NOON, NOON + DAY, Flag.SUSPECT, colder))
        keep(shed, told(NOON + DAY, NOON + 2 * DAY, Flag.SUSPECT, f"{colder}; perhaps stuck: -3"))
        outlooks = shed.stores.records.outlook
        rows = fill_nights(shed.stores.readings, outlooks, shed.settings, NOON + 2 * DAY)
    assert [row.faulty for row in rows if row.coverage > 0] == [False, True]


def test_what_few_nights_teach_is_a_width_without_chances(filled: Shed) -> None:
    told_now = outlook(filled.stores.records.outlook, filled.settings, LATE)
    assert told_now["nights_used"] == NIGHTS - 2
    assert told_now["level"] == "learning"
    assert told_now["chance_below"] == {}
    band = told_now["low_c"]
    assert band is not None
    assert band["p10"] < low_of(NIGHTS) < band["p90"]
    assert told_now["issued_at"] == "2026-02-11T21:30:00Z"
    assert not told_now["stale"]


def test_an_hour_is_issued_once_and_the_next_one_in_its_turn(filled: Shed) -> None:
    at_work = issuing(filled)
    assert at_work.due(LATE) is None
    assert at_work.due(LATE + HOUR) == LATE + HOUR / 2
    assert at_work.due(LATE + 12 * HOUR) is None  # the night is over, and the next far ahead
    between = outlook(filled.stores.records.outlook, filled.settings, LATE + 12 * HOUR)
    assert between["stale"]
    assert between["reasons"][-1] == "it is told from eight hours before the lamps go off"


def test_a_study_is_due_in_the_morning_and_not_again_that_day(filled: Shed) -> None:
    at_work = issuing(filled)
    assert at_work.study_due(LATE) is None
    morning = last_morning(filled.settings.light, LATE + DAY)
    assert morning is not None
    assert at_work.study_due(morning - timedelta(minutes=1)) is None
    assert at_work.study_due(morning) == morning


def test_a_shed_that_was_set_up_today_has_nothing_to_study(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        assert issuing(shed).study_due(NOON + HOUR) is None
        keep(shed, told(NOON, NOON + HOUR))
        assert issuing(shed).study_due(NOON + HOUR) is None
        assert issuing(shed).study_due(NOON + DAY) is not None


def test_a_model_of_long_ago_says_so_and_at_last_nothing(filled: Shed) -> None:
    at_work = issuing(filled)
    later = [NOON + (NIGHTS + n) * DAY + 11 * HOUR for n in (4, 15)]
    for at in later:
        keep(filled, told(at - DAY, at))
        due = at_work.due(at)
        assert due is not None
        at_work.issue(due)
    four_days, fifteen = (
        outlook(filled.stores.records.outlook, filled.settings, at) for at in later
    )
    assert four_days["low_c"] is not None
    assert "nothing was learned for more than three days" in four_days["reasons"]
    assert fifteen["low_c"] is None
    assert fifteen["reasons"] == ["nothing was learned for two weeks, so nothing is said"]


def test_with_few_nights_it_says_how_many_and_nothing_else(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        keep(shed, told(NOON, NOON + 3 * DAY + 11 * HOUR))
        now = NOON + 3 * DAY + 11 * HOUR
        kept = shed.stores.records.outlook
        catch_up(shed.stores.readings, kept, shed.settings, now)
        answer = outlook(kept, shed.settings, now)
        assert (answer["level"], answer["nights_used"], answer["nights_needed"]) == ("silent", 3, 7)
        assert answer["low_c"] is None
        assert answer["reasons"] == ["not enough nights yet"]


def test_where_nothing_says_when_it_is_night_that_is_told(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        nowhere = Site(timezone=shed.settings.site.timezone)
        lost = replace(shed.settings, site=nowhere, light=LightPlan(site=nowhere))
        keep(shed, told(NOON, NOON + 2 * DAY))
        kept = shed.stores.records.outlook
        catch_up(shed.stores.readings, kept, lost, NOON + 2 * DAY)
        (reason,) = outlook(kept, lost, NOON + 2 * DAY)["reasons"]
        assert "nothing says when it is night" in reason


def test_readings_that_come_late_still_make_their_night_count(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        readings, kept = shed.stores.readings, shed.stores.records.outlook
        hole = NOON + DAY + 12 * HOUR
        keep(shed, told(NOON, hole))
        keep(shed, told(hole + 3 * HOUR, NOON + 2 * DAY))
        before = fill_nights(readings, kept, shed.settings, NOON + 2 * DAY)
        keep(shed, told(hole, hole + 3 * HOUR))
        after = fill_nights(readings, kept, shed.settings, NOON + 2 * DAY)
        assert [[row.counts for row in rows] for rows in (before, after)] == [
            [True, False],
            [True, True],
        ]


def test_nights_that_another_version_has_told_are_told_anew(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        readings, kept = shed.stores.readings, shed.stores.records.outlook
        keep(shed, told(NOON, NOON + DAY))
        (row,) = fill_nights(readings, kept, shed.settings, NOON + DAY)
        fewer = {hour: replace(one, features=one.features[1:]) for hour, one in row.issues.items()}
        for body in (to_json(replace(row, issues=fewer)), "[]"):
            kept.put_nights([KeptNight(evening=row.evening, body=body)])
            assert kept_rows(kept) == []
            assert fill_nights(readings, kept, shed.settings, NOON + DAY) == [row]


def test_nights_are_told_anew_when_the_coldest_surface_is_known_otherwise(tmp_path: Path) -> None:
    with shed_of(tmp_path) as shed:
        readings, kept = shed.stores.readings, shed.stores.records.outlook
        keep(shed, told(NOON, NOON + 6 * DAY))
        fill_nights(readings, kept, shed.settings, NOON + 6 * DAY)
        described = replace(shed.settings, surface=ColdSurface(below_air_k=4.0))
        rows = fill_nights(readings, kept, described, NOON + 6 * DAY)
        assert [row.surface_by for row in rows] == ["below 4"] * 6


def test_a_study_that_fails_leaves_the_model_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_args: object, **_named: object) -> OutlookModel:
        raise ValueError("no way to fit this")

    with shed_of(tmp_path) as shed:
        readings, kept = shed.stores.readings, shed.stores.records.outlook
        study_nights(readings, kept, shed.settings, NOON)
        monkeypatch.setattr("service.tonight.studying.fit", fails)
        with pytest.raises(ValueError, match="no way"):
            study_nights(readings, kept, shed.settings, NOON + DAY)
        newest = kept.model(NOON + DAY)
        assert newest is not None
        assert newest.fitted_at == NOON


def test_the_study_is_a_process_of_its_own_that_ends_when_done(filled: Shed) -> None:
    child = StudyChild()
    at = LATE + 20 * DAY
    assert child.begin(study_command(filled.data, filled.settings.file, at))
    end = time.monotonic() + 60
    while child.runs and time.monotonic() < end:
        time.sleep(0.05)
    newest = filled.stores.records.outlook.model(at)
    assert newest is not None
    assert newest.fitted_at == at


def test_the_watch_never_loads_what_the_study_needs() -> None:
    asks = (
        "import sys, service.commands.watching;"
        "sys.exit(any(one in sys.modules for one in ('numpy', 'scipy', 'fastapi', 'plotly')))"
    )
    assert subprocess.run([sys.executable, "-c", asks], check=False).returncode == 0
