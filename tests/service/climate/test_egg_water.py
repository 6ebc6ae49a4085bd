"""The water of eggs, against worked figures of the published relations.

The coefficients of Ar et al. 1974 and Hoyt 1979 are from memory: these figures hold the
arithmetic, and PsychroLib gives the vapour pressures; they do not certify the biology.
"""

from datetime import UTC, datetime, timedelta

import psychrolib  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.egg_water import (
    TEN_TO_NINETY,
    BoxHour,
    EggStay,
    conductance_mg_per_day_pa,
    hoyt_mass_g,
    loss_mg_per_day,
    reckoned_loss,
)
from service.climate.moist_air import vapour_pressure_pa

LAID = datetime(2026, 3, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


def stay(
    days: int,
    *,
    temperature_c: float = 30,
    damp_pct: float = 55,
    every: int = 1,
    warm_after: int = 0,
) -> EggStay:
    vapour = vapour_pressure_pa(temperature_c, damp_pct)
    hours = [
        BoxHour(start=LAID + n * HOUR, temperature_c=temperature_c, vapour_pa=vapour)
        for n in range(0, days * 24, every)
    ]
    warm = LAID + warm_after * DAY
    return EggStay(
        laid_at=LAID,
        until=LAID + days * DAY,
        warm_from=warm,
        warm_to=warm,
        hours=hours,
        length_mm=18.6,
        breadth_mm=14.24,
    )


# Worked from G = 0.432 W^0.780 mg a day and torr with 133.322 Pa to a torr.
@pytest.mark.parametrize(
    ("mass_g", "expected"), [(2.1, 0.005780), (2.5, 0.006622), (3.0, 0.007634), (60, 0.078984)]
)
def test_conductance_is_that_of_the_relation(mass_g: float, expected: float) -> None:
    assert conductance_mg_per_day_pa(mass_g) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("air_c", "damp_pct", "fraction"),
    [
        (30, 40, 0.2105),
        (30, 55, 0.1789),
        (30, 70, 0.1474),
        (25, 85, 0.1611),
        (20, 60, 0.2251),
        (10, 90, 0.2399),
    ],
)
def test_eighteen_days_lose_the_worked_share(
    air_c: float, damp_pct: float, fraction: float
) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    vapour = psychrolib.GetVapPresFromRelHum(air_c, damp_pct / 100)
    lost = loss_mg_per_day(2.1, 36.0, vapour) * 18 / 2100
    # The Magnus form's 0.35 % of the egg's pressure is up to 0.7 % of the difference.
    assert lost == pytest.approx(fraction, rel=0.007)


def test_mass_by_hoyt_is_the_worked_one() -> None:
    assert hoyt_mass_g(18.6, 14.2) == pytest.approx(2.05528, abs=1e-4)


def test_a_whole_stay_is_the_sum_of_its_hours() -> None:
    found = reckoned_loss(stay(18), LAID, LAID + 18 * DAY)
    mass = hoyt_mass_g(18.6, 14.24)
    expected = loss_mg_per_day(mass, 36.0, vapour_pressure_pa(30, 55)) * 18 / (1000 * mass)
    assert found.loss is not None
    assert found.loss.middle == pytest.approx(expected)
    assert found.loss.high - found.loss.middle == pytest.approx(TEN_TO_NINETY * found.loss.spread)
    assert found.coverage == 1.0


def test_an_egg_nobody_sits_on_loses_little() -> None:
    cold = reckoned_loss(stay(5, temperature_c=12, damp_pct=70, warm_after=5), LAID, LAID + 5 * DAY)
    warm = reckoned_loss(stay(5, temperature_c=12, damp_pct=70), LAID, LAID + 5 * DAY)
    assert cold.loss is not None
    assert warm.loss is not None
    assert cold.loss.middle < warm.loss.middle / 5


def test_air_wetter_than_the_egg_gives_nothing_back() -> None:
    assert loss_mg_per_day(2.1, 20.0, 3000.0) == 0.0


def test_of_every_other_hour_the_rest_is_taken_alike_and_the_range_is_wider() -> None:
    whole = reckoned_loss(stay(10), LAID, LAID + 10 * DAY)
    half = reckoned_loss(stay(10, every=2), LAID, LAID + 10 * DAY)
    assert whole.loss is not None
    assert half.loss is not None
    assert half.loss.middle == pytest.approx(whole.loss.middle)
    assert half.loss.spread > whole.loss.spread
    assert half.coverage == 0.5


def test_with_less_than_half_measured_nothing_is_told() -> None:
    found = reckoned_loss(stay(10, every=3), LAID, LAID + 10 * DAY)
    assert found.loss is None
    assert found.coverage == pytest.approx(1 / 3)


@settings(max_examples=25)
@given(dry=st.floats(20, 60), damper=st.floats(1, 35))
def test_damper_air_never_takes_more(dry: float, damper: float) -> None:
    one = loss_mg_per_day(2.1, 36.0, vapour_pressure_pa(25, dry))
    assert loss_mg_per_day(2.1, 36.0, vapour_pressure_pa(25, dry + damper)) <= one
