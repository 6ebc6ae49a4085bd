"""How far the coldest surface is from the dew point of the air beside it."""

import pytest

from service.rules.condensation import condensation_limit, surface_margin_k
from service.rules.follow import is_past


@pytest.mark.parametrize("air_c", [-5.0, 0.0, 12.0, 25.0])
def test_saturated_air_has_its_dew_point_at_its_own_temperature(air_c: float) -> None:
    # By the definition of the dew point.
    assert surface_margin_k(air_c, 100.0, air_c - 1.5) == pytest.approx(-1.5, abs=1e-9)


def test_a_pane_in_half_dry_air_is_wet_below_its_dew_point() -> None:
    # Dew point of 20 °C at 50 %: 9.27 °C (PsychroLib 2.5.0, as in psychrolib_rows.py; ±0.05).
    assert surface_margin_k(20.0, 50.0, 9.27) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("humidity_pct", [0.0, -1.0, 120.0])
def test_of_a_humidity_that_no_air_has_nothing_is_said(humidity_pct: float) -> None:
    assert surface_margin_k(10.0, humidity_pct, 5.0) is None


def test_a_temperature_that_no_air_has_says_nothing() -> None:
    assert surface_margin_k(120.0, 50.0, 5.0) is None


def test_only_a_surface_below_the_dew_point_breaches() -> None:
    limit = condensation_limit("shed", for_min=30.0)
    assert is_past(limit, -0.1)
    assert not is_past(limit, 0.1)
