"""A fitted model's answer."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm  # type: ignore[import-untyped]

from service.climate.outlook.evaluate import (
    Band,
    capped,
    chance_below,
    chance_of_condensation,
    heated,
    low_band,
)
from service.climate.outlook.features import FEATURES, Issue
from service.climate.outlook.model import DampModel, FallModel, HeaterMap

MODEL = FallModel(
    names=("const", "s1"),
    weights=(2.0, -1.0),
    usual=(1.0, -0.5),
    size_k=0.8,
    size_per_k=0.1,
    reach=(1.5, 0.1, -1.4),
)
BAND = Band(p10=3.0, p50=5.0, p90=6.0)


def _issue(low_so_far_c: float | None = None, **told: float) -> Issue:
    known: dict[str, float] = {"const": 1.0, **told}
    return Issue(
        hour=0,
        shed_c=10.0,
        features=tuple(known.get(name) for name in FEATURES),
        low_so_far_c=low_so_far_c,
    )


def test_the_band_is_the_fall_and_its_errors_below_what_it_is_now() -> None:
    band = low_band(MODEL, None, _issue(s1=-1.0))  # falls 3 K, errors of 1.1 K
    assert (band.p10, band.p50, band.p90) == pytest.approx((5.35, 6.89, 8.54))


def test_what_was_not_told_counts_as_usual() -> None:
    assert low_band(MODEL, None, _issue()) == low_band(MODEL, None, _issue(s1=-0.5))


def test_the_low_is_not_foreseen_above_what_was_lowest_so_far() -> None:
    assert capped(BAND, 4.0) == Band(p10=3.0, p50=4.0, p90=4.0)
    assert low_band(MODEL, None, _issue(low_so_far_c=6.0, s1=-1.0)).p90 == 6.0


@given(limit=st.floats(-20.0, 30.0))
@settings(max_examples=40)
def test_the_chance_is_that_of_a_normal_distribution_a_side(limit: float) -> None:
    tenth = -norm.ppf(0.1)  # scipy's quantile of the normal distribution
    sd = (2.0 if limit < 5.0 else 1.0) / tenth
    assert chance_below(BAND, limit) == pytest.approx(norm.cdf((limit - 5.0) / sd), abs=1e-12)


def test_the_band_bounds_as_many_nights_as_it_says() -> None:
    assert chance_below(BAND, 3.0) == pytest.approx(0.1)
    assert chance_below(BAND, 6.0) == pytest.approx(0.9)


def test_what_was_crossed_already_is_certain() -> None:
    assert chance_below(BAND, 4.5, so_far=4.4) == 1.0
    assert chance_below(BAND, 4.5, so_far=4.6) < 0.5


def test_a_heater_holds_its_setting_as_far_as_it_can() -> None:
    heater = HeaterMap(thermostat_c=5.0, lift_k=6.0, floor_k=(-0.4, 0.0, 0.3))
    cold = heated(Band(p10=-3.0, p50=0.0, p90=7.0), heater)
    assert cold == Band(p10=3.0, p50=5.0, p90=7.0)


def test_a_heater_keeps_the_band_in_order() -> None:
    heater = HeaterMap(thermostat_c=5.0, lift_k=2.0, floor_k=(-0.6, 0.1, 0.5))
    band = heated(Band(p10=2.99, p50=3.01, p90=5.01), heater)
    assert band.p10 <= band.p50 <= band.p90


def test_condensation_is_likelier_where_the_margin_is_smaller_and_after_a_wet_night() -> None:
    model = DampModel(margin=MODEL, logit=(1.0, -3.0, 0.8))
    near, far = _issue(s1=0.0, margin=3.0), _issue(s1=0.0, margin=6.0)
    chances = [
        chance_of_condensation(model, far, False),
        chance_of_condensation(model, near, False),
        chance_of_condensation(model, near, True),
    ]
    assert chances == sorted(chance for chance in chances if chance is not None)
    assert len(set(chances)) == 3


def test_without_a_margin_nothing_is_said_of_condensation() -> None:
    model = DampModel(margin=MODEL, logit=(1.0, -3.0, 0.8))
    assert chance_of_condensation(model, _issue(s1=0.0), None) is None
