"""A week, a season or a year of air in words."""

from datetime import UTC, date, datetime, timedelta

from dashboards.views.air_days import DayWidth
from dashboards.views.air_stretch import days_words, week_words
from dashboards.views.banks import AirLimits, AirMoment
from dashboards.views.channel_view import ChannelView

NOW = datetime(2026, 3, 10, tzinfo=UTC)
SINCE = NOW - timedelta(days=1)
FIRST, LAST = date(2026, 3, 1), date(2026, 3, 10)
LIMITS = AirLimits(cold_c=5.0, damp_pct=80.0)


def week(temperatures: list[float], low_c: float | None = 5.0) -> ChannelView:
    moments = tuple(
        AirMoment(
            at=SINCE + n * timedelta(minutes=15), temperature_c=value, low_c=low_c, high_c=None
        )
        for n, value in enumerate(temperatures)
    )
    return ChannelView(
        place="shed", place_name="Shed", since=SINCE, now=NOW, strands=(moments,) if moments else ()
    )


def day(later: int, **changed: object) -> DayWidth:
    made = {
        "low_c": 7.0,
        "high_c": 12.0,
        "damp_low_pct": 50.0,
        "damp_high_pct": 70.0,
        "share": 1.0,
        **changed,
    }
    return DayWidth(day=FIRST + timedelta(days=later), **made)  # type: ignore[arg-type]


def test_hours_in_a_bank_are_counted_by_its_side() -> None:
    assert week_words(week([10.0] * 84 + [4.0] * 12)) == (
        "Between 4° and 10°, by quarters of an hour.",
        "Too cold for about 3 h.",
    )


def test_a_week_measured_in_part_says_how_much() -> None:
    assert week_words(week([10.0] * 48)) == (
        "Between 10° and 10°, by quarters of an hour.",
        "Only 50 % of that time was measured.",
        "Never in a bank while it was measured.",
    )


def test_without_a_limit_nothing_is_said_of_banks() -> None:
    assert len(week_words(week([10.0] * 96, low_c=None))) == 1


def test_an_unmeasured_week_is_not_well() -> None:
    assert week_words(week([])) == ("Nothing was measured in these seven days.",)
    assert week_words(None) == ("Nothing was measured in these seven days.",)


def test_days_past_a_limit_and_days_unmeasured_are_counted() -> None:
    days = [day(2), day(3, low_c=3.0), day(6, damp_high_pct=88.0, share=0.5), *map(day, (7, 8, 9))]
    assert days_words(days, FIRST, LAST, LIMITS) == (
        "The coldest half-hour had 3.0°, on 4 March 2026; the warmest 12.0°, on 3 March 2026.",
        "For half an hour or longer it was below 5° on 1 day, over 80 % damp on 1 day.",
        "The first day measured is 3 March 2026; what was before is bare.",
        "2 days since then went unmeasured and stay bare.",
        "1 day was measured in part: it may have been worse.",
    )


def test_within_its_limits_is_said_of_what_was_measured_alone() -> None:
    words = days_words([day(n) for n in range(10)], FIRST, LAST, LIMITS)
    assert words[1:] == ("Within its limits while it was measured, by half-hours.",)


def test_no_day_measured_is_told_so() -> None:
    words = days_words([], FIRST, LAST, LIMITS)
    assert words == ("Nothing was measured from 1 March to 10 March.",)
