"""When is there water on the coldest surface, and how long does it stay?"""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.cold_surface import ColdSurface
from service.climate.moist_air import saturation_vapour_pressure_pa
from service.climate.night_air import CERTAIN, Moist, NightAir, Series, SurfaceDoubt, moist
from service.climate.surface_water import (
    DRIES_LATE_K,
    FILM_PA_H,
    SurfaceWater,
    TimesMs,
    doubt_of,
    reckoned,
    surface_water,
)

HOUR_MS, MINUTE_MS = 3_600_000, 60_000
SURFACE_C = 10.0
DRIES_PA = saturation_vapour_pressure_pa(SURFACE_C - DRIES_LATE_K)
WETS_PA = saturation_vapour_pressure_pa(SURFACE_C)


def blowing(*hours_and_pa: tuple[float, float]) -> list[Moist]:
    """Air of a vapour pressure for so many hours each, over a surface of 10 °C."""
    found: list[Moist] = []
    at = 1_772_000_000_000
    for hours, vapour_pa in hours_and_pa:
        for _ in range(round(hours * 60)):
            found.append((at, MINUTE_MS, 15.0, vapour_pa, SURFACE_C))
            at += MINUTE_MS
    return found


def hours(times: TimesMs) -> float:
    return sum(until - since for since, until in times) / HOUR_MS


# 18 °C, 65 %: dew point 11.330 °C by PsychroLib 2.5.0 and CoolProp 8.0.0.
@pytest.mark.parametrize(("wall_c", "is_wet"), [(12.0, False), (11.0, True)])
def test_a_wall_below_the_dew_point_is_wet_and_one_above_dry(wall_c: float, is_wet: bool) -> None:
    def steady(value: float) -> Series:
        samples = [(minute * MINUTE_MS, value) for minute in range(60)]
        return Series(samples=samples, max_gap=timedelta(minutes=3))

    air = NightAir(
        temperature=steady(18.0), humidity=steady(65.0), surface=steady(wall_c), known="measured"
    )
    assert bool(surface_water(moist(air)).wet) is is_wet


def test_water_leaves_as_fast_as_it_came() -> None:
    # 2 h at 50 Pa over saturation are gone after 4 h at 25 Pa below that of a drying surface.
    water = surface_water(blowing((2, WETS_PA + 50.0), (10, DRIES_PA - 25.0)))
    assert hours(water.wet) == pytest.approx(6.0, abs=0.02)
    assert hours(water.known) == pytest.approx(12.0)


def test_a_film_holds_only_so_much() -> None:
    drying_pa = 100.0
    water = surface_water(blowing((40, WETS_PA + 100.0), (20, DRIES_PA - drying_pa)))
    assert hours(water.wet) == pytest.approx(40.0 + FILM_PA_H / drying_pa, abs=0.02)


def test_air_that_only_just_could_dry_it_leaves_a_surface_wet() -> None:
    water = surface_water(blowing((1, WETS_PA + 50.0), (5, (WETS_PA + DRIES_PA) / 2)))
    assert hours(water.wet) == pytest.approx(6.0)


def test_a_surface_that_nobody_knows_is_neither_wet_nor_known() -> None:
    air = [(at, span, air_c, pa, None) for at, span, air_c, pa, _ in blowing((3, 2000.0))]
    water = surface_water(air)
    assert (water.known, water.wet, water.most) == ([], [], [])


def test_a_short_gap_leaves_the_water_as_it_was_and_is_not_known() -> None:
    air = blowing((2, WETS_PA + 50.0), (1, 0.0), (1, DRIES_PA - 25.0))
    told = [*air[:120], *air[180:]]
    water = surface_water(told)
    assert hours(water.wet) == pytest.approx(3.0)
    assert hours(water.known) == pytest.approx(3.0)


def test_what_was_there_before_a_long_gap_is_not_known_after_it() -> None:
    air = blowing((2, WETS_PA + 50.0), (4, 0.0), (1, DRIES_PA - 5.0))
    assert hours(surface_water([*air[:120], *air[360:]]).wet) == pytest.approx(2.0)


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(0.1, 3.0), st.floats(800.0, 1600.0)), max_size=6))
def test_the_least_is_within_what_is_told_and_that_within_the_most(
    told: list[tuple[float, float]],
) -> None:
    water = surface_water(blowing(*told), SurfaceDoubt(colder_k=0.7, warmer_k=0.3))
    assert hours(water.least) <= hours(water.wet) <= hours(water.most) <= hours(water.known)


def times_of(water: SurfaceWater) -> tuple[TimesMs, TimesMs, TimesMs]:
    return water.least, water.wet, water.most


def test_without_a_doubt_the_least_is_the_most() -> None:
    least, wet, most = times_of(surface_water(blowing((2, 1300.0), (2, 1000.0)), CERTAIN))
    assert least == wet == most


def told_air(value: float, *, since_min: int = 0) -> Series:
    samples = [(minute * MINUTE_MS, value) for minute in range(since_min, 60)]
    return Series(samples=samples, max_gap=timedelta(minutes=3))


def test_a_surface_lies_between_inside_and_outdoors_by_its_factor() -> None:
    # ISO 13788: f = (surface - outdoors) / (inside - outdoors).
    series = reckoned(ColdSurface(temperature_factor=0.25), told_air(10.0), told_air(2.0))
    assert {value for _, value in series.samples} == {4.0}


def test_without_a_word_from_outdoors_a_factor_tells_nothing() -> None:
    since_half = told_air(2.0, since_min=30)
    series = reckoned(ColdSurface(temperature_factor=0.25), told_air(10.0), since_half)
    assert [at for at, _ in series.samples] == [minute * MINUTE_MS for minute in range(30, 60)]


def test_kelvins_below_the_air_need_no_outdoors() -> None:
    nothing = Series(samples=(), max_gap=timedelta(0))
    series = reckoned(ColdSurface(below_air_k=4.0), told_air(10.0), nothing)
    assert {value for _, value in series.samples} == {6.0}


def test_a_clear_sky_casts_doubt_on_what_is_reckoned_from_outdoors_alone() -> None:
    assert doubt_of(ColdSurface(temperature_factor=0.25)).colder_k == pytest.approx(2.25)


def test_what_a_person_said_of_a_surface_is_never_certain() -> None:
    assert doubt_of(ColdSurface(temperature_factor=0.25)).warmer_k == 1.0
    below = doubt_of(ColdSurface(below_air_k=4.0))
    assert (below.colder_k, below.warmer_k) == (2.0, 2.0)


# At -5 °C IAPWS's equation for sublimation gives 401.74 Pa; over liquid water it is some 421 Pa.
def test_below_zero_the_most_allows_for_frost_that_no_dew_would_make() -> None:
    vapour_pa, pane_c = 411.0, -5.0
    air: list[Moist] = [
        (minute * MINUTE_MS, MINUTE_MS, 2.0, vapour_pa, pane_c) for minute in range(60)
    ]
    water = surface_water(air)
    assert water.wet == []
    assert hours(water.most) == pytest.approx(1.0)
    drier: list[Moist] = [(at, span, air_c, 395.0, cold) for at, span, air_c, _, cold in air]
    assert surface_water(drier).most == []
