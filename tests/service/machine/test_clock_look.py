"""Whether the clock can be believed, on machines of every kind."""

import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.machine.clock_look import clock_trusted, look_at_clock, look_at_zone
from service.machine.finding import State
from service.machine.machine import kernel_says_synchronised
from tests.service.machine.machines import machine

NOW = datetime(2030, 3, 1, 12, 0, tzinfo=UTC)
BUILT = NOW - timedelta(days=100)
CHIP = "sys/class/rtc/rtc0/since_epoch"
# systemd-timesyncd.service(8): the file is made and renewed whenever the clock was set.
SYNCHRONISED = {"run/systemd/timesync/synchronized": ""}
NOT_YET = {"run/systemd/timesync/clock": ""}


@pytest.mark.parametrize(
    ("files", "kernel", "expected"),
    [
        ({}, None, None),
        ({}, True, True),
        ({}, False, False),
        (SYNCHRONISED, None, True),
        (SYNCHRONISED, False, True),
        (NOT_YET, None, False),
        ({CHIP: str(int(NOW.timestamp()) + 60)}, False, True),
        ({CHIP: str(int(NOW.timestamp()) + 600)}, False, False),
        ({CHIP: "0"}, None, False),
        ({CHIP: "nonsense"}, None, None),
    ],
    ids=[
        "nothing known", "kernel synchronised", "kernel not", "timesyncd", "timesyncd alone",
        "timesyncd not yet", "chip agrees", "chip differs", "chip without battery",
        "chip unreadable",
    ],
)  # fmt: skip
def test_the_clock_is_trusted_where_something_stands_behind_it(
    tmp_path: Path, files: dict[str, str], kernel: bool | None, expected: bool | None
) -> None:
    assert clock_trusted(machine(tmp_path, files, kernel_clock=kernel), NOW) is expected


def test_a_clock_before_the_version_was_put_here_is_wrong(tmp_path: Path) -> None:
    found = look_at_clock(machine(tmp_path, SYNCHRONISED), BUILT - timedelta(days=1), None, BUILT)
    assert found.state is State.LOOK


@pytest.mark.parametrize(
    ("ahead", "expected"),
    [(timedelta(minutes=4), State.WELL), (timedelta(minutes=6), State.LOOK)],
)
def test_a_clock_behind_the_newest_reading_is_wrong(
    tmp_path: Path, ahead: timedelta, expected: State
) -> None:
    found = look_at_clock(machine(tmp_path, SYNCHRONISED), NOW, NOW + ahead, BUILT)
    assert found.state is expected


def test_a_clock_that_nothing_tells_of_is_not_well(tmp_path: Path) -> None:
    assert look_at_clock(machine(tmp_path), NOW, None, BUILT).state is State.CANNOT_TELL


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Europe/Amsterdam", State.WELL),
        ("Europe/Berlin", State.WELL),
        ("Europe/London", State.LOOK),
        ("Africa/Lagos", State.LOOK),  # the same in winter (IANA: WAT, +1, no summer time)
        ("Nowhere/At-all", State.LOOK),
    ],
)
def test_zones_are_compared_by_their_times_in_both_halves_of_the_year(
    tmp_path: Path, name: str, expected: State
) -> None:
    (tmp_path / "etc").mkdir()
    (tmp_path / "etc/localtime").symlink_to(f"/usr/share/zoneinfo/{name}")
    found = look_at_zone(machine(tmp_path), ZoneInfo("Europe/Amsterdam"), NOW)
    assert found.state is expected


def test_without_a_zone_it_cannot_be_told(tmp_path: Path) -> None:
    found = look_at_zone(machine(tmp_path), ZoneInfo("Europe/Amsterdam"), NOW)
    assert found.state is State.CANNOT_TELL


def test_a_zone_is_read_from_etc_timezone_too(tmp_path: Path) -> None:
    here = machine(tmp_path, {"etc/timezone": "Europe/London\n"})
    assert look_at_zone(here, ZoneInfo("Europe/London"), NOW).state is State.WELL


def test_this_kernel_answers_and_its_clock_is_untouched() -> None:
    before, started = time.time(), time.monotonic()
    assert kernel_says_synchronised() in {True, False}
    assert time.time() - before == pytest.approx(time.monotonic() - started, abs=0.05)
