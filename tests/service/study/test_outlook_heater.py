"""A heater: one that holds, one that cannot, and one that nobody told of."""

from dataclasses import replace

import pytest

from service.climate.outlook.evaluate import low_band
from service.study.outlook_fit import fit
from service.study.outlook_heater import falls_short, piled_at_c
from tests.service.study.made_up_nights import FITTED_AT, quarters_of, rows_of

BY = "below 2.0"
ROWS = rows_of(quarters_of(42), 40)


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
    model = fit(ROWS, fitted_at=FITTED_AT, surface_by=BY, heater_c=9.0)
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


def test_a_heater_that_nobody_told_of_shows_where_the_lows_pile_up() -> None:
    rows = rows_of(quarters_of(22, floor_c=6.0), 20)
    told = fit(rows, fitted_at=FITTED_AT, heater_c=6.0)
    untold = fit(rows, fitted_at=FITTED_AT)
    assert untold.piled_at_c == pytest.approx(5.8, abs=0.3)
    assert told.piled_at_c is None
    assert piled_at_c(ROWS, None) is None


def test_lows_that_pile_up_while_it_is_as_steady_outdoors_show_no_heater() -> None:
    rows = [
        replace(row, low_c=8.0 + 0.01 * k, lowest_outdoors_c=5.0 + 0.1 * k)
        for k, row in enumerate(ROWS[:14])
    ]
    assert piled_at_c(rows, None) is None
    colder = [replace(row, lowest_outdoors_c=5.0 - 0.4 * k) for k, row in enumerate(rows)]
    assert piled_at_c(colder, None) == pytest.approx(8.065)
    assert piled_at_c(colder[1:], None) is None
