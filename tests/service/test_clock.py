"""Clocks: what time it is for whom."""

import time
from datetime import UTC, datetime, timedelta, timezone

import pytest

from service.clock import FixedClock, PacedClock, SystemClock, speed_of

NOON = datetime(2026, 3, 29, 12, 0, tzinfo=UTC)


def test_a_fixed_clock_stands_still_until_it_is_set() -> None:
    clock = FixedClock(NOON)
    clock.advance(timedelta(hours=1))
    assert clock.now() == NOON + timedelta(hours=1)
    clock.set(NOON.astimezone(timezone(timedelta(hours=2))))
    assert clock.now() == NOON
    assert clock.now().tzinfo is UTC


def test_a_paced_clock_runs_at_its_speed() -> None:
    clock = PacedClock(NOON, time.monotonic() - 10.0, 60.0)
    assert clock.now() == pytest.approx(NOON + timedelta(minutes=10), abs=timedelta(seconds=30))


def test_a_paced_clock_survives_being_written_and_read() -> None:
    clock = PacedClock.starting(NOON, 7.5)
    assert PacedClock.parse(str(clock)) == clock


@pytest.mark.parametrize("text", ["", "noon,1,2", "2026-03-29T12:00:00+00:00,1"])
def test_what_is_no_paced_clock_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        PacedClock.parse(text)


def test_the_speed_of_real_time_is_one() -> None:
    assert speed_of(SystemClock()) == 1.0
    assert speed_of(PacedClock.starting(NOON, 60.0)) == 60.0
