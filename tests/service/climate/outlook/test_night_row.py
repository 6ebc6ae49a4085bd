"""What is known of a night, and what is not."""

from dataclasses import replace
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.climate.light_plan import LampSchedule, LightPlan, LightStep, Site
from service.climate.outlook.night_row import issue_at, night_row, recollections
from service.climate.outlook.night_span import planned_night
from service.climate.outlook.quarters import quarter
from tests.service.study.made_up_nights import FIRST, night_of, quarters_of, rows_of

QUARTERS = quarters_of(7)
ROWS = rows_of(QUARTERS, 4)
NIGHT = night_of(FIRST + timedelta(days=5))
LONDON = Site(timezone=ZoneInfo("Europe/London"))


def _gap(since: int, until: int) -> tuple[float | None, ...]:
    """The shed's means without those of some quarters."""
    place = range(since - QUARTERS.first, until - QUARTERS.first)
    return tuple(None if k in place else value for k, value in enumerate(QUARTERS.shed_c))


def test_the_low_is_the_coldest_quarter_of_the_night_and_has_its_time() -> None:
    row = ROWS[0]
    told = QUARTERS.between(QUARTERS.shed_c, quarter(row.night.since), quarter(row.night.until))
    assert row.low_c == min(value for value in told if value is not None)
    assert row.low_at is not None
    assert QUARTERS.at(QUARTERS.shed_c, quarter(row.low_at)) == row.low_c


def test_a_night_with_a_ninth_of_it_missing_teaches_nothing() -> None:
    begin = quarter(NIGHT.since)
    whole = replace(QUARTERS, shed_c=_gap(begin, begin + 4))
    holed = replace(QUARTERS, shed_c=_gap(begin, begin + 5))
    assert night_row(whole, NIGHT, ROWS).counts
    assert not night_row(holed, NIGHT, ROWS).counts


def test_a_night_of_which_nothing_was_told_has_no_low() -> None:
    silent = replace(QUARTERS, shed_c=_gap(quarter(NIGHT.since) - 40, quarter(NIGHT.until)))
    row = night_row(silent, NIGHT, ROWS)
    assert (row.low_c, row.low_at, row.coverage, row.counts) == (None, None, 0.0, False)


def test_features_are_differences_to_what_was_told_before() -> None:
    issue = issue_at(QUARTERS, NIGHT, 0, recollections(ROWS))
    assert issue is not None
    last = quarter(NIGHT.since) - 1
    told = QUARTERS.shed_c
    now, hour_ago, day_ago = (
        QUARTERS.at(told, number) or 0.0 for number in (last, last - 4, last - 96)
    )
    assert issue.of("s1") == pytest.approx(now - hour_ago, abs=1e-4)
    assert issue.of("d24") == pytest.approx(now - day_ago, abs=1e-4)
    assert issue.of("pers") == pytest.approx(now - (ROWS[-1].low_c or 0.0), abs=1e-4)
    assert issue.of("left") == 10.0


def test_the_fall_since_lamps_off_and_the_gap_then_are_kept() -> None:
    begin, after = (issue_at(QUARTERS, NIGHT, hour, ()) for hour in (0, 3))
    assert begin is not None
    assert after is not None
    assert begin.fallen_k is None
    assert after.fallen_k == pytest.approx(begin.shed_c - after.shed_c, abs=1e-3)
    assert after.gap_at_off_k == pytest.approx(begin.of("gap"), abs=1e-3)


def test_nothing_is_issued_without_a_temperature_in_the_last_half_hour() -> None:
    last = quarter(NIGHT.since) - 1
    held = replace(QUARTERS, shed_c=_gap(last, last + 1))
    silent = replace(QUARTERS, shed_c=_gap(last - 1, last + 1))
    assert issue_at(held, NIGHT, 0, ()) is not None
    assert issue_at(silent, NIGHT, 0, ()) is None


def test_an_outdoor_thermometer_that_tells_the_same_for_three_hours_is_not_used() -> None:
    last = quarter(NIGHT.since) - 1 - QUARTERS.first
    stuck = list(QUARTERS.outdoors_c)
    stuck[last - 11 : last + 1] = [3.4] * 12
    frozen = issue_at(replace(QUARTERS, outdoors_c=stuck), NIGHT, 0, ())
    stuck[last - 11] = 3.5
    steady = issue_at(replace(QUARTERS, outdoors_c=stuck), NIGHT, 0, ())
    assert frozen is not None
    assert steady is not None
    assert not frozen.knows_outdoors
    assert steady.knows_outdoors


def test_without_other_sensors_the_shed_alone_is_known() -> None:
    alone = replace(QUARTERS, dew_c=(), outdoors_c=(), surface_c=())
    issue = issue_at(alone, NIGHT, 2, recollections(ROWS))
    assert issue is not None
    assert issue.of("s3") is not None
    assert (issue.of("spread"), issue.of("gap"), issue.of("margin")) == (None, None, None)
    assert night_row(alone, NIGHT, ROWS).condensed is None


def test_a_night_that_does_not_count_is_not_looked_back_to() -> None:
    rows = [*ROWS[:-1], replace(ROWS[-1], faulty=True)]
    assert recollections(rows)[0].evening == ROWS[-2].evening


def test_a_low_of_more_than_a_week_ago_is_not_last_nights() -> None:
    old = night_of(FIRST + timedelta(days=20))
    later = replace(QUARTERS, first=quarter(old.since) - 300)
    issue = issue_at(later, old, 0, recollections(ROWS))
    assert issue is not None
    assert (issue.of("pers"), issue.of("fall1")) == (None, None)


@pytest.mark.parametrize(
    ("evening", "hours"),
    [(date(2026, 3, 27), 10), (date(2026, 3, 28), 9), (date(2026, 10, 24), 11)],
    ids=["usual", "clocks go forward", "clocks go back"],
)
def test_a_night_is_as_long_as_it_really_is(evening: date, hours: float) -> None:
    plan = LightPlan(site=LONDON, schedule=LampSchedule(on=time(6, 30), off=time(20, 30)))
    night = planned_night(plan, evening)
    assert night is not None
    assert (night.until - night.since) / timedelta(hours=1) == hours
    assert night.hours()[-1] == hours - 1


def test_a_programme_of_light_moves_the_night() -> None:
    step = LightStep(since=date(2026, 1, 12), schedule=LampSchedule(on=time(6), off=time(21)))
    plan = LightPlan(site=LONDON, schedule=LampSchedule(on=time(8), off=time(17)), steps=(step,))
    before, after = (planned_night(plan, date(2026, 1, day)) for day in (11, 12))
    assert before is not None
    assert after is not None
    assert (before.since.hour, before.until.hour, after.since.hour) == (17, 6, 21)


def test_without_lamps_and_place_no_night_is_planned() -> None:
    assert planned_night(LightPlan(site=LONDON), date(2026, 1, 1)) is None


def test_the_latest_issue_is_the_hour_that_has_come() -> None:
    assert NIGHT.latest_hour(NIGHT.since - timedelta(hours=8, minutes=1)) is None
    assert NIGHT.latest_hour(NIGHT.since - timedelta(hours=7, minutes=1)) == -8
    assert NIGHT.latest_hour(NIGHT.since + timedelta(hours=3, minutes=59)) == 3
    assert NIGHT.latest_hour(NIGHT.until) is None
