"""Is it night now?"""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.climate.light_plan import LampSchedule, LightPlan, Site
from service.climate.light_state import Light, LightTrack, follow_light, light_at

GRONINGEN = Site(timezone=ZoneInfo("Europe/Amsterdam"), latitude=53.2, longitude=6.6)
NOWHERE = Site(timezone=ZoneInfo("Europe/Amsterdam"))
LAMPS = LampSchedule(on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30))
PLAN = LightPlan(site=GRONINGEN, schedule=LAMPS)
DARK, BRIGHT = 0.5, 300.0
EVENING = datetime(2026, 3, 1, 19, 30, tzinfo=UTC)  # 20:30 in the shed


def minutes(n: float) -> timedelta:
    return timedelta(minutes=n)


def shown(*runs: tuple[float, int]) -> LightTrack:
    """A track after runs of (lux, readings), from EVENING on."""
    track, at = LightTrack(), EVENING
    for lux, count in runs:
        for _ in range(count):
            track = follow_light(track, at, lux, PLAN)
            at += minutes(1)
    return track


def test_night_falls_when_it_was_dark_for_long_enough_and_counts_from_the_first_dark_reading() -> (
    None
):
    assert shown((BRIGHT, 11), (DARK, 10)).is_night is False
    track = shown((BRIGHT, 11), (DARK, 11))
    assert track.is_night is True
    assert track.since == EVENING + minutes(11)


def test_a_lamp_of_three_minutes_does_not_end_the_night() -> None:
    track = shown((DARK, 60), (BRIGHT, 3), (DARK, 1))
    assert track.is_night is True
    assert track.since == EVENING


def test_three_minutes_of_darkness_do_not_make_a_night() -> None:
    track = shown((BRIGHT, 60), (DARK, 3), (BRIGHT, 1))
    assert (track.is_night, track.since) == (False, EVENING)


def test_the_threshold_itself_is_not_dark() -> None:
    assert shown((PLAN.threshold_lx, 20)).is_night is False
    assert shown((PLAN.threshold_lx - 0.1, 20)).is_night is True


@pytest.mark.parametrize("lux", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_changes_nothing(lux: float) -> None:
    track = shown((DARK, 20))
    assert follow_light(track, EVENING + minutes(30), lux, PLAN) == track


def test_an_older_reading_changes_nothing() -> None:
    track = shown((DARK, 20))
    assert follow_light(track, EVENING + minutes(5), BRIGHT, PLAN) == track
    assert follow_light(track, EVENING + minutes(19), BRIGHT, PLAN) == track


def test_darkness_before_and_after_a_long_silence_is_not_darkness_throughout() -> None:
    track = shown((DARK, 20))
    track = follow_light(track, EVENING + minutes(200), DARK, PLAN, max_gap=minutes(30))
    assert track.is_night is None
    track = follow_light(track, EVENING + minutes(210), DARK, PLAN, max_gap=minutes(30))
    assert (track.is_night, track.since) == (True, EVENING + minutes(200))


@given(
    st.lists(st.tuples(st.integers(1, 2000), st.sampled_from([DARK, BRIGHT])), max_size=40),
    st.integers(0, 40),
)
def test_repeating_readings_that_were_followed_already_changes_nothing(
    steps: list[tuple[int, float]], cut: int
) -> None:
    readings, at = [], EVENING
    for step_s, lux in steps:
        at += timedelta(seconds=step_s)
        readings.append((at, lux))

    def followed(stream: list[tuple[datetime, float]]) -> LightTrack:
        track = LightTrack()
        for measured_at, lux in stream:
            track = follow_light(track, measured_at, lux, PLAN)
        return track

    assert followed(readings[:cut] + readings) == followed(readings)


def test_a_light_sensor_that_talks_tells_the_night_against_the_schedule() -> None:
    noon = datetime(2026, 3, 2, 11, tzinfo=UTC)
    told = light_at(noon, shown((DARK, 20)), PLAN, sensor_silent=False)
    assert told == Light(is_night=True, bounds="measured")


def test_a_time_before_the_last_change_had_the_light_before_it() -> None:
    track = shown((BRIGHT, 60), (DARK, 11))
    before, after = EVENING + minutes(59), EVENING + minutes(60)
    assert light_at(before, track, PLAN, sensor_silent=False).is_night is False
    assert light_at(after, track, PLAN, sensor_silent=False).is_night is True


def test_a_time_before_all_that_the_sensor_told_is_left_to_the_schedule() -> None:
    track = shown((DARK, 11))
    told = light_at(EVENING - minutes(1), track, PLAN, sensor_silent=False)
    assert told == Light(is_night=False, bounds="schedule")


@pytest.mark.parametrize("track", [LightTrack(), shown((DARK, 5))], ids=["unheard", "not sure yet"])
def test_a_light_sensor_that_has_told_nothing_yet_leaves_it_to_the_schedule(
    track: LightTrack,
) -> None:
    told = light_at(EVENING, track, PLAN, sensor_silent=False)
    assert told == Light(is_night=True, bounds="schedule")


@pytest.mark.parametrize(
    ("local", "is_night"),
    [("06:29", True), ("06:30", False), ("20:29", False), ("20:30", True), ("00:00", True)],
)
def test_while_the_light_sensor_is_silent_the_lamps_schedule_tells(
    local: str, *, is_night: bool
) -> None:
    at = datetime.fromisoformat(f"2026-07-01T{local}:00").replace(tzinfo=GRONINGEN.timezone)
    told = light_at(at.astimezone(UTC), shown((BRIGHT, 20)), PLAN, sensor_silent=True)
    assert told == Light(is_night=is_night, bounds="schedule")


@pytest.mark.parametrize(("hour", "is_night"), [(23, False), (3, True), (12, True)])
def test_lamps_may_burn_across_midnight(hour: int, *, is_night: bool) -> None:
    plan = LightPlan(site=GRONINGEN, schedule=LampSchedule(on=time(17), off=time(2)))
    at = datetime(2026, 7, 1, hour, tzinfo=GRONINGEN.timezone)
    assert light_at(at, LightTrack(), plan, sensor_silent=True).is_night is is_night


@pytest.mark.parametrize(("hour", "is_night"), [(5, True), (7, False), (16, False), (18, True)])
def test_without_lamps_the_sun_tells(hour: int, *, is_night: bool) -> None:
    # Sunrise and sunset at 53.2 N 6.6 E on 1 March: 7:20 and 18:14 local, so 6:20 and 17:14.
    at = datetime(2026, 3, 1, hour, tzinfo=UTC)
    told = light_at(at, LightTrack(), LightPlan(site=GRONINGEN), sensor_silent=True)
    assert told == Light(is_night=is_night, bounds="sun")


def test_without_sensor_lamps_and_place_nobody_can_tell() -> None:
    told = light_at(EVENING, LightTrack(), LightPlan(site=NOWHERE), sensor_silent=True)
    assert told == Light(is_night=None, bounds=None)
