"""Water through shells, against the physics and what eggs of other birds lose."""

from datetime import datetime
from statistics import mean

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest

from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.birds.truth import EggTruth
from simulated_feeds.birds.water import (
    conductance_g_per_day_pa,
    dryness_pa_days,
    fresh_mass_g,
    minute,
    saturation_pa,
)
from simulated_feeds.day import MINUTES, AirDay, BoxAir
from tests.simulated_feeds.birds.invented_air import steady_air
from tests.simulated_feeds.birds.lived_seasons import PUT_UP, live, wide_season


# 0.432 W^0.780 mg a day and torr, coefficients from memory: Ar et al. 1974, Condor 76, 153-158.
# One torr is 101325/760 Pa by its definition.
@pytest.mark.parametrize(
    ("mass_g", "mg_per_day_torr"), [(2.1, 0.77057), (2.5, 0.88283), (3.0, 1.01774), (60, 10.53032)]
)
def test_conductance_is_the_published_power_of_the_mass(
    mass_g: float, mg_per_day_torr: float
) -> None:
    found = conductance_g_per_day_pa(mass_g) * 1000 * 101325 / 760
    assert found == pytest.approx(mg_per_day_torr, rel=1e-4)


def test_fresh_mass_of_a_wild_egg_is_two_grams() -> None:
    # 0.548 L B^2 (Hoyt 1979, Auk 96, 73-77; coefficient from memory) of 18.6 x 14.2 mm
    assert fresh_mass_g(18.6, 14.2) == pytest.approx(2.055, abs=0.001)


@pytest.mark.parametrize("temperature_c", [0.0, 10.0, 20.0, 30.0, 36.0])
def test_saturation_agrees_with_psychrolib(temperature_c: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = float(saturation_pa(np.array([temperature_c]))[0])
    assert found == pytest.approx(psychrolib.GetSatVapPres(temperature_c), rel=0.005)


@pytest.mark.parametrize(
    ("air_c", "humidity_pct", "mg_a_day"),
    [(30, 40, 24.554), (30, 55, 20.873), (30, 70, 17.192), (25, 85, 18.801), (10, 90, 27.983)],
)
def test_loss_under_the_hen_is_conductance_times_difference(
    air_c: float, humidity_pct: float, mg_a_day: float
) -> None:
    """An egg of 2.1 g at 36 °C, the vapour pressures reckoned by another program."""
    # Fick's law as Ar and Rahn use it: mg a day = G (e_egg - e_nest); e by PsychroLib 2.5.0.
    psychrolib.SetUnitSystem(psychrolib.SI)
    vapour = psychrolib.GetVapPresFromRelHum(air_c, humidity_pct / 100)
    air = BoxAir(
        temperature_c=np.full(MINUTES, float(air_c)), vapour_pa=np.full(MINUTES, float(vapour))
    )
    summed = dryness_pa_days(air, [(0, 86400)], 0, 36.0, hen_pa=0.0)
    lost = 1000 * conductance_g_per_day_pa(2.1) * float(summed[-1])
    assert lost == pytest.approx(mg_a_day, rel=0.005)


def test_uncovered_eggs_lose_by_the_boxs_own_air() -> None:
    air = BoxAir(temperature_c=np.full(MINUTES, 20.0), vapour_pa=np.full(MINUTES, 1400.0))
    summed = dryness_pa_days(air, [], 0, 36.0, hen_pa=1300.0)
    assert float(summed[-1]) == pytest.approx(2338.8 - 1400.0, rel=0.005)  # PsychroLib, 20 °C


def test_eggs_take_no_water_up() -> None:
    air = BoxAir(temperature_c=np.full(MINUTES, 5.0), vapour_pa=np.full(MINUTES, 2000.0))
    assert float(dryness_pa_days(air, [], 0, 36.0, hen_pa=0.0)[-1]) == 0.0


@pytest.mark.parametrize(
    ("instant", "first"), [(0, 0), (1, 1), (60, 1), (61, 2), (86400, 1440), (-5, 0), (90000, 1440)]
)
def test_a_thing_counts_from_the_next_full_minute(instant: int, first: int) -> None:
    assert minute(instant, 0) == first


def lost(egg: EggTruth) -> float:
    return 1 - egg.mass_g / egg.fresh_g


def test_eggs_lose_about_15_per_cent_until_they_hatch() -> None:
    # 0.150 +- 0.025 of the mass in 81 species: Ar and Rahn 1980, Am. Zool. 20, 373-384
    shares = [lost(egg) for egg in wide_season().eggs if egg.fate == "hatched"]
    assert mean(shares) == pytest.approx(0.150, abs=0.025)
    assert 0.01 < np.std(shares) < 0.03


def hatched_at(vapour_pa: float) -> list[float]:
    def air(at: datetime) -> AirDay:
        return steady_air(at, vapour_pa=vapour_pa)

    pairs = pairs_for(["box-1", "box-2", "box-3"], PUT_UP, seed=3, rounds=1, spread_days=1)
    return [lost(egg) for egg in live(pairs, 46, air=air).eggs if egg.fate == "hatched"]


def test_eggs_in_dry_air_lose_more_than_in_damp_air() -> None:
    dry, damp = hatched_at(900.0), hatched_at(1650.0)
    assert len(dry) > 5
    assert len(damp) > 5
    # The difference of 750 Pa is 5.6 torr: G x 5.6 torr x 18.1 d / 2.2 g, by the formula above.
    assert mean(dry) - mean(damp) == pytest.approx(0.80 * 5.63 * 18.1 / 2180, rel=0.25)
