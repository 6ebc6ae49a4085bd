"""From when to when was it night?"""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from service.climate.light_plan import LampSchedule, LightPlan, Site
from service.climate.nights import Night, nights
from service.climate.samples import samples
from tests.service.climate.kept import FAIL, Kept, every, without

GRONINGEN = Site(timezone=ZoneInfo("Europe/Amsterdam"), latitude=53.2, longitude=6.6)
LAMPS = LampSchedule(on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30))
PLAN = LightPlan(site=GRONINGEN, schedule=LAMPS)
MINUTE = timedelta(minutes=1)
MAX_GAP = timedelta(minutes=3)


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=GRONINGEN.timezone).astimezone(UTC)


def lamp(at: datetime) -> float:
    """A lamp that burns from 7:02 to 20:13, whatever the schedule says."""
    clock = at.astimezone(GRONINGEN.timezone).time()
    return 300.0 if time(7, 2) <= clock < time(20, 13) else 0.3


def lit(*times: tuple[str, str]) -> Callable[[datetime], float]:
    """Bright between these local times only."""
    spans = [(local(since), local(until)) for since, until in times]
    return lambda at: 300.0 if any(since <= at < until for since, until in spans) else 0.3


def told(readings: list[Kept], since: str, until: str, plan: LightPlan = PLAN) -> list[Night]:
    return list(nights(samples(readings), plan, local(since), local(until), max_gap=MAX_GAP))


def three_days() -> list[Kept]:
    return every(MINUTE, local("2026-03-01 12:00"), local("2026-03-04 12:00"), lamp)


def measured(evening: str, since: str, until: str) -> Night:
    return Night(
        evening=date.fromisoformat(evening),
        since=local(since),
        until=local(until),
        bounds="measured",
    )


def test_nights_are_measured_from_the_first_dark_to_the_first_bright_reading() -> None:
    assert told(three_days(), "2026-03-01 12:00", "2026-03-04 12:00") == [
        measured("2026-03-01", "2026-03-01 20:13", "2026-03-02 07:02"),
        measured("2026-03-02", "2026-03-02 20:13", "2026-03-03 07:02"),
        measured("2026-03-03", "2026-03-03 20:13", "2026-03-04 07:02"),
    ]


@pytest.mark.parametrize("lamp_on_min", [3, 25])
def test_a_lamp_at_midnight_does_not_end_the_night(lamp_on_min: int) -> None:
    visit = local("2026-03-02 00:00")
    readings = [
        replace(one, value=300.0)
        if visit <= one.measured_at < visit + timedelta(minutes=lamp_on_min)
        else one
        for one in three_days()
    ]
    assert told(readings, "2026-03-01 12:00", "2026-03-02 12:00") == [
        measured("2026-03-01", "2026-03-01 20:13", "2026-03-02 07:02")
    ]


def test_the_dark_hour_before_the_lamps_come_on_is_not_taken_for_the_night() -> None:
    light = lit(
        ("2026-01-10 08:30", "2026-01-10 16:30"),
        ("2026-01-10 17:30", "2026-01-10 21:00"),
        ("2026-01-11 08:30", "2026-01-11 16:30"),
    )
    readings = every(MINUTE, local("2026-01-10 09:00"), local("2026-01-11 12:00"), light)
    assert told(readings, "2026-01-10 09:00", "2026-01-11 12:00") == [
        measured("2026-01-10", "2026-01-10 21:00", "2026-01-11 08:30")
    ]


def _scheduled(evening: str) -> Night:
    on = date.fromisoformat(evening)
    return Night(
        evening=on,
        since=local(f"{on} 20:30"),
        until=local(f"{on + timedelta(days=1)} 06:30"),
        bounds="schedule",
    )


@pytest.mark.parametrize(
    ("silent_from", "silent_until"),
    [
        ("2026-03-02 19:00", "2026-03-02 22:00"),
        ("2026-03-03 05:00", "2026-03-03 08:00"),
        ("2026-03-02 13:00", "2026-03-03 11:00"),
    ],
    ids=["when it fell", "when it ended", "all night"],
)
def test_a_silent_light_sensor_leaves_that_night_to_the_schedule(
    silent_from: str, silent_until: str
) -> None:
    readings = without(three_days(), local(silent_from), local(silent_until))
    assert told(readings, "2026-03-01 12:00", "2026-03-04 12:00") == [
        measured("2026-03-01", "2026-03-01 20:13", "2026-03-02 07:02"),
        _scheduled("2026-03-02"),
        measured("2026-03-03", "2026-03-03 20:13", "2026-03-04 07:02"),
    ]


def test_a_silence_between_two_dark_times_of_one_night_leaves_it_measured() -> None:
    readings = without(three_days(), local("2026-03-02 01:00"), local("2026-03-02 03:00"))
    assert told(readings, "2026-03-01 12:00", "2026-03-02 12:00") == [
        measured("2026-03-01", "2026-03-01 20:13", "2026-03-02 07:02")
    ]


def test_a_silence_of_days_is_not_one_long_night() -> None:
    readings = without(three_days(), local("2026-03-01 23:00"), local("2026-03-04 02:00"))
    assert told(readings, "2026-03-01 12:00", "2026-03-04 12:00") == [
        _scheduled("2026-03-01"),
        _scheduled("2026-03-02"),
        _scheduled("2026-03-03"),
    ]


def test_readings_flagged_fail_do_not_count() -> None:
    readings = [
        replace(one, flag=FAIL) if one.measured_at >= local("2026-03-02 12:00") else one
        for one in three_days()
    ]
    assert [night.bounds for night in told(readings, "2026-03-01 12:00", "2026-03-04 12:00")] == [
        "measured",
        "schedule",
        "schedule",
    ]


@pytest.mark.parametrize("lux", [0.0, 300.0], ids=["dark", "bright"])
def test_a_sensor_that_never_saw_the_light_change_leaves_the_nights_to_the_schedule(
    lux: float,
) -> None:
    readings = every(MINUTE, local("2026-03-01 12:00"), local("2026-03-03 12:00"), lambda _: lux)
    assert told(readings, "2026-03-01 12:00", "2026-03-03 12:00") == [
        _scheduled("2026-03-01"),
        _scheduled("2026-03-02"),
    ]


def test_without_lamps_a_night_lasts_from_sunset_to_sunrise() -> None:
    plan = LightPlan(site=Site(timezone=ZoneInfo("Europe/London"), latitude=51.5, longitude=0.0))
    [night] = nights(
        [],
        plan,
        datetime(2026, 9, 23, 12, tzinfo=UTC),
        datetime(2026, 9, 24, 11, tzinfo=UTC),
        max_gap=MAX_GAP,
    )
    # Sunset by Skyfield 1.55 with DE421. The sunrise of the day after, by the almanac's two
    # minutes a day at the equinox, from 05:47:35 on the 23rd.
    sunset = datetime(2026, 9, 23, 17, 56, 10, tzinfo=UTC)
    sunrise = datetime(2026, 9, 24, 5, 49, 10, tzinfo=UTC)
    assert night.bounds == "sun"
    assert night.until is not None
    assert abs(night.since - sunset) < timedelta(minutes=1)
    assert abs(night.until - sunrise) < timedelta(minutes=1)


def test_the_polar_day_has_no_night_and_the_polar_night_one_for_every_evening() -> None:
    tromso = Site(timezone=ZoneInfo("Europe/Oslo"), latitude=69.65, longitude=18.96)

    def by_the_sun(month: int) -> tuple[Night, ...]:
        since = datetime(2026, month, 20, 11, tzinfo=UTC)
        plan = LightPlan(site=tromso)
        return nights([], plan, since, since + timedelta(days=3), max_gap=MAX_GAP)

    assert by_the_sun(6) == ()
    winter = by_the_sun(12)
    assert [night.evening.day for night in winter] == [20, 21, 22, 23]
    assert all(a.until == b.since for a, b in pairwise(winter))
    assert winter[-1].until is None


def test_where_nothing_tells_night_from_day_no_night_is_told() -> None:
    plan = LightPlan(site=Site(timezone=ZoneInfo("Europe/Amsterdam")))
    assert told([], "2026-03-01 12:00", "2026-03-04 12:00", plan) == []


@pytest.mark.parametrize(
    ("evening", "hours"), [("2026-03-28", 9.0), ("2026-10-24", 11.0), ("2026-06-01", 10.0)]
)
def test_a_scheduled_night_keeps_the_wall_clock_when_the_clocks_change(
    evening: str, hours: float
) -> None:
    since = datetime.fromisoformat(f"{evening}T12:00+00:00")
    [night] = nights([], PLAN, since, since + timedelta(hours=22), max_gap=MAX_GAP)
    assert night == _scheduled(evening)
    assert night.until is not None
    assert (night.until - night.since) / timedelta(hours=1) == hours


@pytest.mark.parametrize("day", ["2026-03-28", "2026-10-24"])
def test_measured_nights_stand_the_change_of_clocks(day: str) -> None:
    on = date.fromisoformat(day)
    morning = on + timedelta(days=1)
    readings = every(MINUTE, local(f"{on} 09:00"), local(f"{morning} 13:00"), lamp)
    assert told(readings, f"{on} 12:00", f"{morning} 12:00") == [
        measured(day, f"{on} 20:13", f"{morning} 07:02")
    ]


@pytest.mark.parametrize("now", ["2026-03-01 20:40", "2026-03-02 03:00", "2026-03-02 07:05"])
def test_a_night_that_has_not_surely_ended_has_no_end(now: str) -> None:
    assert told(three_days(), "2026-03-01 12:00", now) == [
        replace(measured("2026-03-01", "2026-03-01 20:13", "2026-03-02 07:02"), until=None)
    ]


def test_a_night_that_goes_on_while_the_light_sensor_is_silent_is_told_by_the_schedule() -> None:
    readings = without(three_days(), local("2026-03-01 23:00"), local("2026-03-05 00:00"))
    assert told(readings, "2026-03-01 12:00", "2026-03-02 03:00") == [
        replace(_scheduled("2026-03-01"), until=None)
    ]


def test_only_nights_that_reach_into_the_time_asked_for_are_told() -> None:
    assert [n.evening.day for n in told(three_days(), "2026-03-02 08:00", "2026-03-02 20:00")] == []
    assert [n.evening.day for n in told(three_days(), "2026-03-02 06:00", "2026-03-02 20:00")] == [
        1
    ]
    assert [n.evening.day for n in told(three_days(), "2026-03-02 08:00", "2026-03-03 00:00")] == [
        2
    ]


def test_lamps_that_go_out_after_midnight_make_a_night_of_the_evening_before() -> None:
    plan = LightPlan(site=GRONINGEN, schedule=LampSchedule(on=time(10), off=time(0, 30)))
    [night] = told([], "2026-03-01 12:00", "2026-03-02 11:00", plan)
    assert night.evening == date(2026, 3, 1)
    assert (night.since, night.until) == (local("2026-03-02 00:30"), local("2026-03-02 10:00"))


@pytest.mark.parametrize(
    ("on", "off", "since", "until"),
    [
        ("16:00", "02:00", "2026-03-02 02:13", "2026-03-02 16:02"),
        ("20:00", "10:00", "2026-03-02 10:13", "2026-03-02 20:02"),
        ("00:30", "10:30", "2026-03-02 10:43", "2026-03-03 00:32"),
    ],
)
def test_a_night_that_the_lamps_put_over_noon_is_measured_like_any_other(
    on: str, off: str, since: str, until: str
) -> None:
    lamps = LampSchedule(on=time.fromisoformat(on), off=time.fromisoformat(off))
    dark = [
        (local(since) + k * timedelta(days=1), local(until) + k * timedelta(days=1))
        for k in range(-2, 3)
    ]
    readings = every(
        MINUTE,
        local("2026-02-28 12:00"),
        local("2026-03-05 12:00"),
        lambda at: 0.3 if any(begin <= at < end for begin, end in dark) else 300.0,
    )
    found = told(readings, "2026-03-01 12:00", "2026-03-04 12:00", replace(PLAN, schedule=lamps))
    assert measured("2026-03-01", since, until) in found
    assert {night.bounds for night in found} == {"measured"}
