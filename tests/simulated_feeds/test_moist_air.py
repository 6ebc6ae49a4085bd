"""Moist air of the truth against values that other people computed."""

import numpy as np
import pytest

from simulated_feeds.moist_air import dew_point_c, humidity_pct, saturation_pa

# PsychroLib 2.5.0 (ASHRAE Fundamentals): °C, %, Pa of vapour, dew point °C.
PSYCHROLIB = [
    (5.0, 85.0, 741.61, 2.6915),
    (10.0, 70.0, 859.60, 4.7868),
    (18.0, 65.0, 1341.8, 11.330),
    (25.0, 75.3, 2386.4, 20.326),
]


@pytest.mark.parametrize(("warmth_c", "humidity", "vapour_pa", "dew_c"), PSYCHROLIB)
def test_humidity_and_dew_point_agree_with_psychrolib(
    warmth_c: float, humidity: float, vapour_pa: float, dew_c: float
) -> None:
    # Tetens' formula is within 0.5 % of IAPWS-IF97: 0.4 points of humidity, 0.1 K of dew point.
    vapour = np.array([vapour_pa])
    assert humidity_pct(np.array([warmth_c]), vapour)[0] == pytest.approx(humidity, abs=0.4)
    assert dew_point_c(vapour)[0] == pytest.approx(dew_c, abs=0.1)


def test_dew_point_undoes_saturation() -> None:
    warmth_c = np.linspace(-15.0, 40.0, 12)
    assert dew_point_c(saturation_pa(warmth_c)) == pytest.approx(warmth_c)


# IAPWS-IF97 saturation pressure [°C, Pa], computed with the package iapws 1.5.5.
IAPWS_IF97 = [(5.0, 872.575), (15.0, 1705.74), (20.0, 2339.21), (35.0, 5628.62)]


@pytest.mark.parametrize(("warmth_c", "pascal"), IAPWS_IF97)
def test_saturation_agrees_with_iapws(warmth_c: float, pascal: float) -> None:
    assert saturation_pa(np.array([warmth_c]))[0] == pytest.approx(pascal, rel=0.005)


@pytest.mark.parametrize(("vapour_pa", "shown"), [(-100.0, 0.0), (9900.0, 100.0)])
def test_humidity_never_leaves_its_range(vapour_pa: float, shown: float) -> None:
    assert humidity_pct(np.array([15.0]), np.array([vapour_pa]))[0] == shown
