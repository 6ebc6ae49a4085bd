"""The fit of all hours: what it learns, and what it notices."""

from dataclasses import replace

import numpy as np

from service.climate.outlook.evaluate import low_band
from service.study.outlook_fit import fit
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
