"""Moist air of the simulated shed against values that other people computed."""

import pytest

from simulated_feeds.moist_air import humidity_pct, saturation_hpa

# IAPWS-IF97 saturation pressure [°C, Pa], computed with the package iapws 1.5.5.
IAPWS_IF97 = [(5.0, 872.575), (15.0, 1705.74), (20.0, 2339.21), (35.0, 5628.62)]


@pytest.mark.parametrize(("temperature_c", "pascal"), IAPWS_IF97)
def test_saturation_agrees_with_iapws(temperature_c: float, pascal: float) -> None:
    assert saturation_hpa(temperature_c) * 100 == pytest.approx(pascal, rel=0.005)


def test_humidity_agrees_with_psychrolib() -> None:
    # PsychroLib 2.5.0: 18 °C at 65 % has a vapour pressure of 1341.8 Pa.
    assert humidity_pct(18.0, 13.418) == pytest.approx(65.0, abs=0.4)


@pytest.mark.parametrize(("vapour_hpa", "shown"), [(-1.0, 0.0), (99.0, 100.0)])
def test_humidity_never_leaves_its_range(vapour_hpa: float, shown: float) -> None:
    assert humidity_pct(15.0, vapour_hpa) == shown
