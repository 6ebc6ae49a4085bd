"""The light of days as rows and in words."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from dashboards.marks.light_raster import light_raster
from dashboards.views.air_light import light_rows, light_words
from dashboards.views.lamp_clock_words import lamp_clock_words
from service.climate.light_day import PlannedLight
from service.climate.light_spans import LightSource, LightSpan
from service.climate.light_timer import LampClock
from tests.dashboards.views.air_told import ZONE, light_day

DAY = date(2026, 3, 3)
MIDNIGHT = datetime(2026, 3, 2, 23, tzinfo=UTC)


def span(from_h: float, to_h: float, *, lit: bool) -> LightSpan:
    return LightSpan(
        lit=lit,
        since=MIDNIGHT + timedelta(hours=from_h),
        until=MIDNIGHT + timedelta(hours=to_h),
    )


SEEN = light_day(
    DAY,
    span(0, 6.5, lit=False),
    span(6.5, 20.5, lit=True),
    span(20.5, 24, lit=False),
    on_at=MIDNIGHT + timedelta(hours=6.5),
    on_by=LightSource.LAMPS,
    off_at=MIDNIGHT + timedelta(hours=20.5),
    longer=timedelta(minutes=15),
    planned=PlannedLight(
        on_at=MIDNIGHT + timedelta(hours=6.5), off_at=MIDNIGHT + timedelta(hours=20.5)
    ),
)


def test_a_row_has_the_hours_of_the_sheds_own_clock() -> None:
    (row,) = light_rows([SEEN], ZONE)
    told = [(one.from_h, one.to_h, one.lit) for one in row.stretches]
    assert told == [(0, 6.5, False), (6.5, 20.5, True), (20.5, 24, False)]
    assert row.lamps == (6.5, 20.5)


def test_the_day_on_which_clocks_go_back_ends_at_24() -> None:
    # The clocks go back on 25 October 2026 in the European Union: that day has 25 hours.
    begin = datetime(2026, 10, 24, 22, tzinfo=UTC)
    dark = LightSpan(lit=False, since=begin, until=begin + timedelta(hours=25))
    (row,) = light_rows([light_day(date(2026, 10, 25), dark)], ZONE)
    assert [(one.from_h, one.to_h) for one in row.stretches] == [(0.0, 24.0)]


def test_the_newest_day_is_told_with_what_brought_the_light() -> None:
    assert light_words([SEEN], ZONE) == (
        "On 3 March it was light for 14 h, 15 min more than the day before.",
        "Light on at 06:30, by lamps; off at 20:30.",
        "The lamps were meant to burn from 06:30 to 20:30.",
    )


def test_days_that_nobody_saw_are_counted() -> None:
    words = light_words([SEEN, light_day(DAY + timedelta(days=1))], ZONE)
    assert words[0].startswith("On 3 March")
    assert words[-1] == "Nothing was seen on 1 of these 2 days."


def test_light_in_the_night_is_told_with_its_last_time() -> None:
    odd = replace(SEEN, night_lights=(span(2, 2.25, lit=True),))
    assert "One day had light in its night, last on 3 March from 02:00 to 02:15." in light_words(
        [odd], ZONE
    )


def test_a_day_seen_in_part_says_so() -> None:
    part = light_day(DAY, span(0, 6, lit=False), span(6, 12, lit=True))
    assert light_words([part], ZONE)[0] == (
        "On 3 March light was seen for 6 h, but only 50 % of the day was watched."
    )


def test_where_nobody_saw_the_picture_has_dashes_and_no_ground() -> None:
    rows = light_rows([SEEN, light_day(DAY + timedelta(days=1))], ZONE)
    picture = light_raster(rows, "words", width=358)
    assert picture.count("<rect") == 3
    assert picture.count("stroke-dasharray") == 2  # one under each row, seen or not


def lamp_clock(**changed: object) -> LampClock:
    made = LampClock(since=DAY, until=DAY + timedelta(days=9), days=10, late=timedelta(0))
    return replace(made, **changed)  # type: ignore[arg-type]


def test_a_drift_whose_interval_holds_none_is_not_told() -> None:
    clock = lamp_clock(later_min_a_week=0.3, later_least=-0.2, later_most=0.8)
    assert lamp_clock_words(clock) == (
        "The lamps keep their hours, within 5 min (by 10 days from 3 March to 12 March).",
    )


def test_a_drift_is_told_with_its_interval() -> None:
    clock = lamp_clock(
        late=timedelta(minutes=-22), later_min_a_week=-3.0, later_least=-3.6, later_most=-2.4
    )
    assert lamp_clock_words(clock) == (
        "The lamps come and go 22 min earlier than planned (by 10 days from 3 March to 12 March).",
        "Their clock gains 2.4 to 3.6 min a week: set it anew, and look again.",
    )


def test_without_lamps_nothing_is_said_of_their_clock() -> None:
    assert lamp_clock_words(None) == ()


def test_an_hour_out_reminds_of_summer_time() -> None:
    (told,) = lamp_clock_words(lamp_clock(late=timedelta(minutes=58)))
    assert told.endswith("That is as if their clock did not know of summer time.")
