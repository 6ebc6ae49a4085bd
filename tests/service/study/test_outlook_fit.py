"""The fit of all hours: what it learns, and what it notices."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from service.climate.outlook.evaluate import Band, low_band
from service.climate.outlook.model import FitWatch, Widths
from service.study.outlook_damp import fit_logit
from service.study.outlook_fit import fit
from service.study.outlook_heater import falls_short, piled_at_c
from service.study.outlook_prior import stated_prior
from service.study.outlook_table import ages, hour_table
from service.study.outlook_watch import stretched, watched, widened
from tests.service.study.made_up_nights import FITTED_AT, quarters_of, rows_of

ROWS = rows_of(quarters_of(47), 45)
BY = "below 2.0"
MODEL = fit(ROWS[:40], fitted_at=FITTED_AT, surface_by=BY)


def test_no_nights_make_a_model_that_says_nothing() -> None:
    model = fit((), fitted_at=FITTED_AT)
    assert (model.nights_used, model.last_evening, model.low_times) == (0, None, None)
    assert all(hour.shed is None for hour in model.hours.values())


def test_nights_that_do_not_count_are_passed_over() -> None:
    some = [replace(row, faulty=True) for row in ROWS[:20]] + ROWS[20:40]
    assert fit(some, fitted_at=FITTED_AT, surface_by=BY).nights_used == 20


def test_it_foresees_new_nights_better_than_the_mean_fall_does() -> None:
    falls = [row.issues[0].shed_c - (row.low_c or 0.0) for row in ROWS]
    own, mean = [], []
    for k in range(40, 45):
        row, low_model = ROWS[k], MODEL.hours[0].outdoors
        assert low_model is not None
        assert row.low_c is not None
        own.append(abs(low_band(low_model, None, row.issues[0]).p50 - row.low_c))
        mean.append(abs(float(np.mean(falls[k - 7 : k])) - falls[k]))
    assert sum(own) < sum(mean)


def test_going_on_from_the_model_before_is_going_through_all_nights() -> None:
    whole = fit(ROWS[:44], fitted_at=FITTED_AT, surface_by=BY)
    model = MODEL
    for k in (41, 42, 43, 44):
        model = fit(ROWS[:k], fitted_at=FITTED_AT, surface_by=BY, previous=model)
    assert model.watch == whole.watch
    assert model.widths == whole.widths
    assert model.hours == whole.hours


def test_a_model_before_that_is_too_old_is_not_gone_on_from() -> None:
    stale = fit(ROWS[:30], fitted_at=FITTED_AT, surface_by=BY)
    anew = fit(ROWS[:44], fitted_at=FITTED_AT, surface_by=BY, previous=stale)
    assert anew == fit(ROWS[:44], fitted_at=FITTED_AT, surface_by=BY)


def test_margins_known_in_another_way_teach_nothing() -> None:
    model = fit(ROWS[:40], fitted_at=FITTED_AT, surface_by="measured")
    assert model.hours[0].damp is None
    assert MODEL.hours[0].damp is not None


def test_what_the_keeper_saw_stands_before_the_margin() -> None:
    rows = ROWS[:3]
    seen = {rows[1].evening: not rows[1].condensed}
    plain = hour_table(rows, 0, surface_by=BY, looks={}).wet
    told = hour_table(rows, 0, surface_by=BY, looks=seen).wet
    assert list(plain != told) == [False, True, False]


def test_old_nights_count_less_and_those_before_a_change_half_of_that() -> None:
    until = date(2026, 6, 1)
    evenings = [until - timedelta(days=90), until]
    assert ages(evenings, until) == pytest.approx([0.5, 1.0])
    assert ages(evenings, until, until) == pytest.approx([0.25, 1.0])


def test_a_heater_that_holds_is_learned() -> None:
    rows = rows_of(quarters_of(42, floor_c=6.0), 40)
    model = fit(rows, fitted_at=FITTED_AT, surface_by=BY, heater_c=6.0)
    assert model.heater is not None
    assert model.heater.thermostat_c == 6.0
    assert model.heater.lift_k == 8.0
    assert model.heater.floor_k == pytest.approx((-0.2, -0.15, 0.0), abs=0.25)
    low = model.hours[0].shed
    assert low is not None
    lows = [low_band(low, model.heater, row.issues[0]).p10 for row in rows]
    assert min(lows) > 5.0


def test_a_saturated_heater_lifts_by_what_it_can() -> None:
    rows = rows_of(quarters_of(42), 40)
    model = fit(rows, fitted_at=FITTED_AT, surface_by=BY, heater_c=9.0)
    assert model.heater is not None
    assert 0.0 <= model.heater.lift_k < 4.0
    assert model.heater_short


def test_a_heater_that_held_in_one_of_three_nights_does_not_fall_short() -> None:
    lows = (5.0, 4.4, 4.2)
    rows = [replace(row, low_c=low) for row, low in zip(ROWS, lows, strict=False)]
    assert not falls_short(rows, 5.0)
    assert falls_short(rows, 5.8)
    assert not falls_short(rows[:2], 5.8)
    assert not falls_short(rows, None)


def test_the_usual_fall_of_the_first_hours_is_the_least_squares_line_of_three_weeks() -> None:
    # numpy's polynomial fit, of the last 21 nights.
    told = [row.issues[2] for row in ROWS[19:40]]
    per_k, constant = np.polyfit(
        [issue.gap_at_off_k or 0.0 for issue in told], [issue.fallen_k or 0.0 for issue in told], 1
    )
    usual = MODEL.usual_falls[2]
    assert usual.per_k == pytest.approx(per_k)
    assert usual.constant_k == pytest.approx(constant)


def test_without_an_outdoor_thermometer_no_fall_is_usual() -> None:
    alone = replace(quarters_of(20), outdoors_c=())
    assert not fit(rows_of(alone, 18), fitted_at=FITTED_AT).usual_falls


def test_logistic_numbers_are_those_of_statsmodels_where_the_prior_says_nothing() -> None:
    rng = np.random.default_rng(3)
    x = np.column_stack([np.ones(200), rng.normal(size=200), rng.integers(0, 2, 200)])
    wet = (rng.random(200) < 1.0 / (1.0 + np.exp(-(x @ [-0.5, -1.2, 0.7])))).astype(float)
    silent = replace(stated_prior().hours[0].damp, information=(0.0,) * 9)
    own = fit_logit(silent, x, wet, np.ones(200))
    assert own == pytest.approx(sm.Logit(wet, x).fit(disp=0).params, abs=1e-6)


def test_logistic_numbers_are_the_priors_without_nights() -> None:
    prior = stated_prior().hours[0].damp
    assert fit_logit(prior, np.zeros((0, 3)), np.zeros(0), np.zeros(0)) == prior.logit


def _nights_until_noticed(rng: np.random.Generator, shift: float, most: int) -> int:
    watch, evening = FitWatch(), date(2026, 1, 1)
    for night in range(1, most + 1):
        watch = watched(watch, evening + timedelta(days=night), float(rng.normal(shift, 1.0)))
        if watch.noticed_on:
            return night
    return most


def test_false_notices_are_as_rare_as_theory_has_it() -> None:
    # Siegmund (1985), Sequential Analysis, from memory: a one-sided sum with slack k and limit
    # h runs (exp(2 k b) - 2 k b - 1) / (2 k²) nights, b = h + 1.166; two sides half of that.
    b = 6.0 + 1.166
    expected = (math.exp(b) - b - 1.0) / 0.5 / 2.0
    rng = np.random.default_rng(11)
    watch, notices, nights = FitWatch(), 0, 20_000
    evening = date(2026, 1, 1)
    for off in rng.normal(0.0, 1.0, nights).tolist():
        watch = watched(replace(watch, noticed_on=None), evening, off)
        notices += watch.noticed_on is not None
    assert notices == pytest.approx(nights / expected, abs=3.0 * math.sqrt(nights / expected))


@pytest.mark.parametrize("shift", [-1.0, 1.0], ids=["colder", "warmer"])
def test_a_change_of_one_standard_deviation_is_noticed_in_about_twelve_nights(
    shift: float,
) -> None:
    # The same formula: (exp(-b) + b - 1) / 0.5 = 12.3 nights.
    rng = np.random.default_rng(5)
    runs = [_nights_until_noticed(rng, shift, 200) for _ in range(60)]
    assert float(np.mean(runs)) == pytest.approx(12.3, abs=2.0)


def test_since_when_it_changed_is_when_the_sum_began_to_rise() -> None:
    watch, evening = FitWatch(), date(2026, 1, 1)
    for night, off in enumerate([0.0] * 10 + [-2.5] * 4):
        watch = watched(watch, evening + timedelta(days=night), off)
    assert watch.changed_since == evening + timedelta(days=10)
    assert watch.noticed_on == evening + timedelta(days=13)


def test_a_heater_that_nobody_told_of_shows_where_the_lows_pile_up() -> None:
    rows = rows_of(quarters_of(22, floor_c=6.0), 20)
    told = fit(rows, fitted_at=FITTED_AT, heater_c=6.0)
    untold = fit(rows, fitted_at=FITTED_AT)
    assert untold.piled_at_c == pytest.approx(5.8, abs=0.3)
    assert told.piled_at_c is None
    assert MODEL.piled_at_c is None


def test_lows_that_pile_up_while_it_is_as_steady_outdoors_show_no_heater() -> None:
    rows = [
        replace(row, low_c=8.0 + 0.01 * k, lowest_outdoors_c=5.0 + 0.1 * k)
        for k, row in enumerate(ROWS[:14])
    ]
    assert piled_at_c(rows, None) is None
    colder = [replace(row, lowest_outdoors_c=5.0 - 0.4 * k) for k, row in enumerate(rows)]
    assert piled_at_c(colder, None) == pytest.approx(8.065)
    assert piled_at_c(colder[1:], None) is None


def test_a_band_that_misses_becomes_wider_on_that_side_only() -> None:
    band = Band(p10=3.0, p50=5.0, p90=6.0)
    assert stretched(Widths(), band, 2.0) == Widths(below=0.05 * 0.9, above=-0.05 * 0.1)


def test_widths_settle_where_one_night_in_ten_lies_outside_each_end() -> None:
    rng = np.random.default_rng(2)
    widths, below, above = Widths(), [], []
    for low in rng.normal(size=3_000).tolist():
        band = Band(p10=-0.9 * math.exp(widths.below), p50=0.0, p90=2.0 * math.exp(widths.above))
        below.append(low < band.p10)
        above.append(low > band.p90)
        widths = stretched(widths, band, low)
    assert np.mean(below[500:]) == pytest.approx(0.1, abs=0.01)
    assert np.mean(above[500:]) == pytest.approx(0.1, abs=0.01)


def test_widths_stay_within_their_bounds() -> None:
    widths = Widths()
    for _ in range(100):
        widths = stretched(widths, Band(p10=3.0, p50=5.0, p90=6.0), -10.0)
    assert widths.below == 0.7
    assert widths.above == pytest.approx(-0.5)


def test_a_changed_shed_has_wider_bands_at_once() -> None:
    assert widened(Widths(below=0.5, above=-0.2)) == Widths(below=0.5, above=0.3)
