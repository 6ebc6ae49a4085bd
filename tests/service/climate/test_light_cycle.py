"""The light of each day: its own light, what is missing in it, and what came at night."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.climate.light_cycle import light_days
from service.climate.light_day import LightDay
from service.climate.light_plan import LampSchedule, LightPlan, LightStep, Site
from service.climate.light_spans import LightSource
from service.climate.samples import Sample, ms_of

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
DAY = date(2026, 1, 10)
HAZEL = Site(timezone=ZoneInfo("Europe/Amsterdam"), latitude=53.2, longitude=6.6)
NOWHERE = Site(timezone=ZoneInfo("Europe/Amsterdam"))
SCHEDULE = LampSchedule(on=time(6, 30), off=time(20, 30), dim=30 * MINUTE)
PLAN = LightPlan(site=HAZEL, schedule=SCHEDULE)
OVERNIGHT = LightPlan(site=HAZEL, schedule=LampSchedule(on=time(18), off=time(4)))

Light = Callable[[datetime], float]
"""The light [lx] at a local time."""


def lamps(on: float, off: float, lux: float = 450.0) -> Light:
    """On from one hour of the local clock to another, each day."""
    return lambda at: lux if on <= at.hour + at.minute / 60 < off else 0.0


def readings(light: Light, *, first: date = DAY, days: int = 3) -> list[Sample]:
    """A reading a minute, from the midnight before ``first`` on."""
    at = datetime.combine(first - timedelta(days=1), time(0), HAZEL.timezone).astimezone(UTC)
    times = (at + k * MINUTE for k in range(days * 1440))
    return [(ms_of(one), light(one.astimezone(HAZEL.timezone))) for one in times]


def day_of(samples: list[Sample], plan: LightPlan = PLAN, day: date = DAY) -> LightDay:
    now = datetime(2027, 1, 1, tzinfo=UTC)
    [one] = light_days(samples, plan, day, day, max_gap=3 * MINUTE, now=now)
    return one


def clock(at: datetime | None) -> str | None:
    return None if at is None else f"{at.astimezone(HAZEL.timezone):%d %H:%M}"


def without(samples: list[Sample], since: datetime, until: datetime) -> list[Sample]:
    return [one for one in samples if not ms_of(since) <= one[0] < ms_of(until)]


def local(hour: float, day: date = DAY) -> datetime:
    """So many hours after local midnight, by elapsed time."""
    return datetime.combine(day, time(0), HAZEL.timezone).astimezone(UTC) + hour * HOUR


def test_a_day_by_the_programme_has_its_hours_and_nothing_else() -> None:
    day = day_of(readings(lamps(6.5, 20.5)))
    assert (clock(day.on_at), clock(day.off_at)) == ("10 06:30", "10 20:30")
    assert (day.on_by, day.off_by) == (LightSource.LAMPS, LightSource.LAMPS)
    assert (day.light_h, day.dark_gap_min, day.night_light_min) == (14.0, 0.0, 0.0)
    assert (day.coverage, day.is_over) == (1.0, True)


def test_lamps_that_dim_are_timed_to_full_and_back() -> None:
    def dimmed(at: datetime) -> float:
        minute = 60 * at.hour + at.minute
        up, down = (minute - 390) // 2 + 1, (1230 - minute + 1) // 2
        return 30.0 * max(0, min(up, down, 15))

    day = day_of(readings(dimmed))
    assert day.brighten == 28 * MINUTE  # the fifteenth step comes 28 min after the first
    assert day.dim == 29 * MINUTE


@pytest.mark.parametrize(
    ("first", "hours", "light_h"),
    [(date(2026, 3, 29), 23, 14.0), (date(2026, 10, 25), 25, 14.0)],
    ids=["spring", "autumn"],
)
def test_a_day_on_which_the_clocks_change_is_as_long_as_it_is(
    first: date, hours: int, light_h: float
) -> None:
    day = day_of(readings(lamps(6.5, 20.5), first=first), day=first)
    assert (day.until - day.since) / HOUR == hours
    assert (day.light_h, day.coverage) == (light_h, 1.0)


def test_a_timer_that_forgot_summer_time_is_late_and_makes_no_light_at_night() -> None:
    spring = date(2026, 3, 29)
    day = day_of(readings(lamps(7.5, 21.5), first=spring), day=spring)
    assert (day.night_light_min, day.dark_gap_min) == (0.0, 0.0)


def test_lamps_in_the_middle_of_the_night_are_light_at_night() -> None:
    def light(at: datetime) -> float:
        hour = at.hour + at.minute / 60
        return 450.0 if 6.5 <= hour < 20.5 or (at.day == DAY.day and hour >= 23.5) else 0.0

    day = day_of(readings(light))
    assert clock(day.off_at) == "10 20:30"
    assert day.night_light_min == 30.0


def test_lamps_that_stay_on_for_good_are_light_at_night() -> None:
    day = day_of(readings(lamps(0, 24)))
    assert (day.on_at, day.off_at) == (None, None)
    assert day.light_h == 24.0
    assert day.night_light_min == 600.0  # all that is outside 06:30 to 20:30


def test_lamps_that_fail_leave_a_dark_gap_to_the_end_of_the_programme() -> None:
    day = day_of(readings(lamps(6.5, 10)))
    assert clock(day.off_at) == "10 10:00"
    assert day.dark_gap_min == 630.0


def test_a_day_all_dark_has_no_light_and_a_gap_as_long_as_the_programme() -> None:
    day = day_of(readings(lambda _at: 0.0))
    assert (day.on_at, day.light_h, day.dark_gap_min) == (None, 0.0, 840.0)


def test_a_dark_hour_within_the_day_is_a_gap() -> None:
    day = day_of(readings(lambda at: 0.0 if at.hour == 12 else lamps(6.5, 20.5)(at)))
    assert (clock(day.on_at), clock(day.off_at)) == ("10 06:30", "10 20:30")
    assert day.dark_gap_min == 60.0


def test_a_visit_after_lights_off_is_light_at_night_and_moves_no_end() -> None:
    day = day_of(readings(lambda at: max(lamps(6.5, 20.5)(at), lamps(21, 21.25)(at))))
    assert clock(day.off_at) == "10 20:30"
    assert day.night_light_min == 15.0


def test_lamps_across_midnight_belong_to_the_day_on_which_they_come_on() -> None:
    day = day_of(readings(lambda at: 450.0 if at.hour >= 18 or at.hour < 4 else 0.0), OVERNIGHT)
    assert (clock(day.on_at), clock(day.off_at)) == ("10 18:00", "11 04:00")
    assert (day.light_h, day.night_light_min) == (10.0, 0.0)


def test_a_timer_half_a_day_out_lights_the_night() -> None:
    day = day_of(readings(lambda at: 450.0 if at.hour >= 18 or at.hour < 8 else 0.0))
    assert clock(day.on_at) == "10 18:00"
    assert day.night_light_min is not None
    assert day.night_light_min > 7 * 60


def test_daylight_before_the_lamps_is_no_light_at_night() -> None:
    # In mid June the sun rises there soon after five by the local clock (from memory).
    june = date(2026, 6, 15)
    assert day_of(readings(lamps(5, 22), first=june), day=june).night_light_min == 0.0


def test_without_lamps_light_belongs_to_the_natural_day() -> None:
    day = day_of(readings(lamps(8.5, 16.5)), LightPlan(site=HAZEL))
    assert (clock(day.on_at), day.planned, day.night_light_min) == ("10 08:30", None, 0.0)
    assert day.daylight is not None


def test_without_a_place_or_lamps_the_longest_light_is_the_days() -> None:
    day = day_of(
        readings(lambda at: max(lamps(7, 19)(at), lamps(23, 23.5)(at))), LightPlan(site=NOWHERE)
    )
    assert (clock(day.off_at), day.night_light_min, day.daylight) == ("10 19:00", 30.0, None)


def test_a_silence_over_lights_on_leaves_it_unknown_and_the_rest_known() -> None:
    day = day_of(without(readings(lamps(6.5, 20.5)), local(6), local(8)))
    assert (day.on_at, clock(day.off_at)) == (None, "10 20:30")
    assert day.coverage == pytest.approx(22 / 24, abs=0.01)


def test_a_silence_within_the_day_is_no_dark_gap() -> None:
    day = day_of(without(readings(lamps(6.5, 20.5)), local(11), local(15)))
    assert (clock(day.on_at), clock(day.off_at), day.dark_gap_min) == (
        "10 06:30",
        "10 20:30",
        0.0,
    )
    assert day.light_h == pytest.approx(10.0, abs=0.1)


def test_a_day_without_a_reading_has_the_plan_and_the_sun_and_nothing_else() -> None:
    day = day_of([])
    assert (day.light_h, day.dark_gap_min, day.night_light_min) == (None, None, None)
    assert day.coverage == 0.0
    assert day.planned is not None
    assert clock(day.planned.on_at) == "10 06:30"


def test_a_step_of_the_programme_holds_from_its_morning_on() -> None:
    step = LightStep(since=DAY, schedule=replace(SCHEDULE, on=time(6)))
    plan = replace(PLAN, steps=(step,))
    days = [day_of([], plan, day).planned for day in (DAY - timedelta(days=1), DAY)]
    assert [clock(one.on_at) for one in days if one] == ["09 06:30", "10 06:00"]


def test_a_day_is_compared_with_the_one_before_where_both_were_seen() -> None:
    samples = readings(lambda at: lamps(6.5, 20.5 if at.day == DAY.day else 20)(at))
    now = datetime(2027, 1, 1, tzinfo=UTC)
    before = DAY - timedelta(days=1)
    days = light_days(samples, PLAN, before, DAY, max_gap=3 * MINUTE, now=now)
    assert [one.longer for one in days] == [None, 30 * MINUTE]
    gappy = without(samples, local(2), local(4))
    days = light_days(gappy, PLAN, before, DAY, max_gap=3 * MINUTE, now=now)
    assert days[1].longer is None


def test_today_is_told_as_far_as_it_has_gone() -> None:
    samples = readings(lamps(6.5, 20.5))
    [day] = light_days(samples, PLAN, DAY, DAY, max_gap=3 * MINUTE, now=local(12))
    assert (clock(day.on_at), day.off_at, day.is_over) == ("10 06:30", None, False)
    assert (day.light_h, day.coverage, day.dark_gap_min) == (5.5, 1.0, 0.0)


def test_a_date_that_has_not_begun_is_not_told() -> None:
    assert light_days([], PLAN, DAY, DAY, max_gap=MINUTE, now=local(0)) == ()
