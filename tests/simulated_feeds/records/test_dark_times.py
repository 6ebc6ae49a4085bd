"""Nights are found day by day, whole over the border of two days."""

from datetime import timedelta

from simulated_feeds.day import DAY, MINUTE, Minutes
from simulated_feeds.records.dark_times import DarkTime, DarkTimes
from tests.simulated_feeds.records.still_day import NOON, level, lit_until


def told(*lights: Minutes) -> list[DarkTime]:
    dark = DarkTimes(below_lx=20.0)
    return [
        found
        for number, light in enumerate(lights)
        for found in dark.minutes(NOON + number * DAY, light, {"lx": light})
    ]


def test_a_dark_time_runs_from_the_first_dark_minute_to_the_first_light_one() -> None:
    (night,) = told(lit_until(480, 1080))
    assert (night.since, night.until) == (NOON + 480 * MINUTE, NOON + 1080 * MINUTE)


def test_a_dark_time_goes_on_over_the_border_between_two_days() -> None:
    (night,) = told(lit_until(1300, 1440), lit_until(0, 300))
    assert night.until - night.since == (140 + 300) * MINUTE


def test_what_is_dark_from_the_very_start_is_told_as_no_night() -> None:
    assert told(lit_until(0, 600)) == []


def test_what_has_not_ended_is_told_as_no_night() -> None:
    assert told(lit_until(1300, 1440)) == []


def test_less_than_an_hour_is_no_night() -> None:
    assert told(lit_until(480, 539)) == []
    assert len(told(lit_until(480, 540))) == 1


def test_columns_hold_every_minute_of_the_dark_time() -> None:
    (night,) = told(lit_until(1300, 1440), lit_until(0, 300))
    assert len(night.columns["lx"]) == (night.until - night.since) / timedelta(minutes=1)
    assert night.columns["lx"].max() == 0.0


def test_light_that_never_goes_out_has_no_night() -> None:
    assert told(level(450.0), level(450.0)) == []
