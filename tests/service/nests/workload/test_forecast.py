"""Minutes a day to come: sums by hand, and what common practice says of more cages."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from service.nests.due import DueKind
from service.nests.duty import ByStage, Duty, EveryDays, Visit, VisitTimes, WhereKind
from service.nests.duty_templates import TEMPLATES, terms_of
from service.nests.nest import Nest
from service.nests.span import Span
from service.nests.stage import Stage
from service.nests.workload.asked import Asking
from service.nests.workload.forecast import DayAhead, forecast, peaks, share_on
from service.nests.workload.ground import Supposed, WhatIf, ground_of
from service.nests.workload.own_pace import pace_of
from service.nests.workload.typical_minutes import DUE_MIN
from service.nests.workload.usual_round import UsualRound
from tests.service.nests.workload.duties_in_a_shed import (
    NOW,
    SPECIES,
    TIMES,
    TODAY,
    ZONE,
    deep_clean,
    duty,
    empty_nest,
    known,
    on_warm_days,
    paired_nest,
    per_cage_duties,
    places,
)


def ahead(
    nests: list[Nest],
    duties: tuple[Duty, ...],
    what_if: WhatIf | None = None,
    *,
    cages: int | None = None,
    weeks: int = 8,
    **more: object,
) -> tuple[DayAhead, ...]:
    supposed = Supposed(species=SPECIES, usual=UsualRound(), what_if=what_if or WhatIf())
    ground = ground_of(places(cages or len(nests)), known(nests), supposed, NOW)
    asking = Asking(duties=duties, times=TIMES, zone=ZONE)
    return forecast(ground, asking, NOW, weeks=weeks, **more)  # type: ignore[arg-type]


def _on(days: tuple[DayAhead, ...], day: date) -> DayAhead:
    return next(one for one in days if one.day == day)


def test_quiet_day_is_the_sum_of_its_duties() -> None:
    # Two cages without a pair: water 1, seed twice 1.5, box check 2; by hand.
    days = ahead([empty_nest(1), empty_nest(2)], per_cage_duties())
    first = days[0]
    assert first.day == TODAY
    assert dict(first.parts) == {"box check": 4, "seed": 6, "water": 2}
    assert (first.minutes.low, first.minutes.mean, first.minutes.high) == (12, 12, 12)


def test_forecast_has_eight_weeks_of_days_without_a_gap() -> None:
    days = ahead([empty_nest(1)], per_cage_duties())
    assert [one.day for one in days] == [TODAY + timedelta(days=n) for n in range(56)]


def test_parts_add_up_to_the_mean() -> None:
    days = ahead([paired_nest(1), paired_nest(2)], (*per_cage_duties(), deep_clean()))
    for one in days:
        assert sum(minutes for _, minutes in one.parts) == pytest.approx(one.minutes.mean)


def test_mean_lies_between_low_and_high_where_the_pace_is_not_known() -> None:
    for one in ahead([paired_nest(n) for n in range(1, 5)], per_cage_duties()):
        assert one.minutes.low - 1e-9 <= one.minutes.mean <= one.minutes.high + 1e-9


@pytest.mark.parametrize("number", [1, 3, 6])
def test_twice_the_cages_is_twice_the_time_of_what_is_done_cage_by_cage(number: int) -> None:
    # "Twice the cages is twice the time": common practice, no source.
    one = ahead([paired_nest(n + 1) for n in range(number)], per_cage_duties())
    two = ahead([paired_nest(n + 1) for n in range(2 * number)], per_cage_duties())
    for before, after in zip(one, two, strict=True):
        assert after.minutes.mean == pytest.approx(2 * before.minutes.mean)


def test_what_if_twice_the_cages_is_the_same_as_having_them() -> None:
    # The same practice, asked as "what if"; the further pairs go up on the same day.
    midnight = datetime.combine(TODAY, datetime.min.time(), UTC)
    one = ahead([paired_nest(n) for n in (1, 2, 3)], per_cage_duties())
    two = ahead(
        [paired_nest(n) for n in (1, 2, 3)], per_cage_duties(), WhatIf(cages=6, put_up=midnight)
    )
    for before, after in zip(one, two, strict=True):
        assert after.minutes.mean == pytest.approx(2 * before.minutes.mean, rel=0.02)
    assert sum(a.minutes.mean for a in two) == pytest.approx(
        2 * sum(b.minutes.mean for b in one), rel=0.005
    )


def test_twice_the_cages_is_less_than_twice_where_something_is_done_once_for_the_shed() -> None:
    duties = (*per_cage_duties(), deep_clean())
    one = sum(day.minutes.mean for day in ahead([paired_nest(1)], duties))
    two = sum(day.minutes.mean for day in ahead([paired_nest(1), paired_nest(2)], duties))
    # Deep clean of an hour on 14 March and 11 April, by hand.
    assert two - one == pytest.approx(one - 120)


def test_rearing_takes_more_than_sitting() -> None:
    days = ahead([paired_nest(1)], per_cage_duties())
    # Egg 1 on days 8 to 14, so sitting by day 20 and chicks by day 40.
    sitting, rearing = days[21], days[42]
    assert rearing.minutes.mean > sitting.minutes.mean
    assert "soft food" in dict(rearing.parts)
    assert "soft food" not in dict(sitting.parts)


def test_every_ring_of_a_round_is_somewhere_in_its_weeks() -> None:
    usual = UsualRound()
    days = ahead([paired_nest(1)], (), weeks=12)
    minutes = sum(dict(day.parts).get(DueKind.RING.value, 0.0) for day in days)
    # Four eggs for sure, a fifth in two of three, a sixth in one: five on the average.
    assert minutes == pytest.approx(5 * usual.hatching * DUE_MIN[DueKind.RING])


def test_stage_that_may_have_begun_counts_with_its_chance() -> None:
    laying = ByStage(stages=frozenset({Stage.LAYING}))
    days = ahead(
        [paired_nest(1)], (duty(1, "grit", WhereKind.EVERY_CAGE, laying, minutes=10),), weeks=3
    )
    # The first egg comes 8 to 14 days after midnight UTC of 2 March, evenly; noon of the 13th
    # here is 11 hours into the twelfth: 3.46 of 6 days are gone.
    day = _on(days, date(2026, 3, 13))
    assert day.minutes.mean == pytest.approx(10 * (3 + 11 / 24) / 6, abs=0.01)
    assert (day.minutes.low, day.minutes.high) == (0, 10)


def test_stage_of_any_nest_counts_for_the_shed() -> None:
    laying = ByStage(stages=frozenset({Stage.LAYING}))
    shed = (duty(1, "lamp", WhereKind.SHED, laying, minutes=10),)
    one = _on(ahead([paired_nest(1)], shed, weeks=3), date(2026, 3, 13)).minutes.mean / 10
    two = _on(ahead([paired_nest(1), paired_nest(2)], shed, weeks=3), date(2026, 3, 13))
    assert two.minutes.mean / 10 == pytest.approx(1 - (1 - one) ** 2)


def test_warm_weather_is_in_the_high_end_alone() -> None:
    without = ahead([empty_nest(1)], per_cage_duties())[0]
    with_it = ahead([empty_nest(1)], (*per_cage_duties(), on_warm_days()))[0]
    assert with_it.minutes.mean == without.minutes.mean
    assert with_it.minutes.low == without.minutes.low
    assert with_it.minutes.high > without.minutes.high
    assert with_it.may_add > 0


def test_duty_that_is_off_asks_for_nothing() -> None:
    days = ahead([empty_nest(1)], (duty(1, "seed", WhereKind.EVERY_CAGE, off=True),))
    assert all(day.minutes.high == 0 for day in days)


def test_box_that_is_off_is_no_box_for_duties() -> None:
    off = replace(empty_nest(1), off_since=NOW)
    days = ahead([off], (duty(1, "box check", WhereKind.EVERY_BOX),))
    assert days[0].minutes.mean == 0


def test_named_places_are_asked_for_alone() -> None:
    only = duty(1, "trays", WhereKind.NAMED, places=("cage-2",), minutes=5)
    days = ahead([empty_nest(1), empty_nest(2)], (only,))
    assert days[0].minutes.mean == 5


def test_interval_falls_on_its_own_days() -> None:
    days = ahead([], (deep_clean(),), cages=0)
    assert [one.day for one in days if one.minutes.mean] == [date(2026, 3, 14), date(2026, 4, 11)]


def test_peaks_are_the_longest_days_first() -> None:
    days = ahead([paired_nest(1)], (*per_cage_duties(), deep_clean()))
    told = peaks(days, 2)
    assert {one.day for one in told} == {date(2026, 3, 14), date(2026, 4, 11)}
    assert told[0].minutes.mean >= told[1].minutes.mean


def test_own_pace_stretches_the_typical_minutes() -> None:
    pace = pace_of([1.0 + n / 10 for n in range(11)])
    plain = ahead([empty_nest(1)], per_cage_duties())[0]
    own = ahead([empty_nest(1)], per_cage_duties(), pace=pace)[0]
    assert own.minutes.mean == pytest.approx(1.5 * plain.minutes.mean)
    # Eleven numbers: the least and the greatest hold the next in ten of twelve.
    assert own.minutes.low == pytest.approx(1.0 * plain.minutes.low)
    assert own.minutes.high == pytest.approx(2.0 * plain.minutes.high)


def test_too_few_visits_leave_the_typical_minutes() -> None:
    plain = ahead([empty_nest(1)], per_cage_duties())
    assert ahead([empty_nest(1)], per_cage_duties(), pace=pace_of([2.0] * 8)) == plain


def test_late_due_is_work_of_today() -> None:
    day = Span(since=NOW - timedelta(hours=6), until=NOW + timedelta(hours=18))
    late = Span(since=NOW - timedelta(days=5), until=NOW - timedelta(days=2))
    assert share_on(late, day, NOW) == 1.0
    tomorrow = Span(since=day.until, until=day.until + timedelta(days=1))
    assert share_on(late, tomorrow, NOW) == 0.0


def test_shares_of_a_span_add_up_over_its_days() -> None:
    due = Span(since=NOW - timedelta(days=1), until=NOW + timedelta(days=3))
    begin = NOW - timedelta(hours=6)
    days = [
        Span(since=begin + timedelta(days=n), until=begin + timedelta(days=n + 1)) for n in range(6)
    ]
    assert sum(share_on(due, day, NOW) for day in days) == pytest.approx(1)


def test_days_of_23_hours_are_days_too() -> None:
    # Clocks go forward in the night to 29 March 2026 (EU Directive 2000/84/EC).
    days = ahead([empty_nest(1)], per_cage_duties())
    assert _on(days, date(2026, 3, 29)).minutes.mean == days[0].minutes.mean
    assert ZoneInfo("Europe/Amsterdam") == ZONE


def test_midday_work_is_done_in_the_evening_where_nobody_comes_at_midday() -> None:
    assert VisitTimes().midday is None
    first = EveryDays(days=1, first=TODAY)
    asked = duty(1, "greens", WhereKind.SHED, first, visits=(Visit.MIDDAY, Visit.EVENING))
    assert ahead([], (asked,), cages=0)[0].minutes.mean == 1


def test_duties_to_begin_with_take_nearly_twice_the_time_for_twice_the_cages() -> None:
    # "Twice the cages is twice the time": common practice, no source. The deep clean of the shed
    # alone is done once, however many cages there are.
    duties = tuple(
        Duty(id=number, terms=terms_of(one, now=NOW, today=TODAY))
        for number, one in enumerate(TEMPLATES)
    )
    six = sum(day.minutes.mean for day in ahead([paired_nest(n) for n in range(1, 7)], duties))
    twelve = sum(day.minutes.mean for day in ahead([paired_nest(n) for n in range(1, 13)], duties))
    assert 1.85 <= twelve / six <= 2.0


@pytest.mark.parametrize("visits", [9, 12, 24, 60])
def test_span_holds_the_day_eight_times_in_ten_or_more(visits: int) -> None:
    """A keeper whose pace scatters, and work that comes on one day in three; drawn by numpy."""
    chance = np.random.default_rng(visits)
    every_third = ByStage(stages=frozenset({Stage.EMPTY}), every=3)
    duties = (*per_cage_duties(), duty(9, "wash", WhereKind.SHED, every_third, minutes=6))
    held, draws = 0, 800
    for _ in range(draws):
        pace = pace_of(list(chance.lognormal(0.1, 0.25, visits)))
        day = ahead([empty_nest(1), empty_nest(2)], duties, weeks=1, pace=pace)[0]
        # Twelve minutes for sure, by hand as above, and perhaps the wash.
        took = (12 + 6 * (chance.random() < 1 / 3)) * chance.lognormal(0.1, 0.25)
        held += day.minutes.low <= took <= day.minutes.high
    assert held / draws >= 0.80 - 2 * (0.8 * 0.2 / draws) ** 0.5
