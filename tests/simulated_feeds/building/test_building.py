"""A shed in its weather: balances close, and it behaves as a shed does."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest
from scipy.linalg import expm  # type: ignore[import-untyped]

from simulated_feeds.building.climate import AIR_J_PER_M3_K, Climate
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import DAY, MINUTES
from simulated_feeds.happening import Happening, What
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.moist_air import dew_point_c, humidity_pct
from tests.simulated_feeds.building.living import (
    BARE,
    JANUARY,
    JULY,
    SEASONS,
    Lived,
    bare,
    live,
    nest,
    steady,
)

WEEK = 7
Weeks = Callable[[datetime], Lived]


@pytest.fixture(scope="session")
def weeks() -> Weeks:
    """A week of the preset shed with one box warmed, lived once for each beginning."""
    return lru_cache(maxsize=8)(lambda at: live(at, WEEK, warm=0.9))


def happens(what: What, since_h: float, until_h: float, amount: float | None = None) -> Happening:
    return Happening(
        what=what,
        since=JANUARY + timedelta(hours=since_h),
        until=JANUARY + timedelta(hours=until_h),
        amount=amount,
    )


by_season = pytest.mark.parametrize("at", SEASONS, ids=lambda at: f"{at:%B}")


@by_season
def test_heat_of_every_day_is_in_balance(weeks: Weeks, at: datetime) -> None:
    for day in weeks(at).balances:
        left = day.given_j - day.lost_j - day.bound_j - day.stored_j
        # A ten-millionth of what a lamp gives in a day.
        assert abs(left) < 1.0


@by_season
def test_water_of_every_day_is_in_balance(weeks: Weeks, at: datetime) -> None:
    for day in weeks(at).balances:
        left = day.vented_g + day.added_g - day.drained_g - day.stored_g
        assert abs(left) < 1e-6


def test_heat_given_is_what_lamps_and_heater_show() -> None:
    """The balance beside sums over the day's own arrays: nothing is given twice or forgotten."""
    lamps = LampParameters(full_w=120.0)
    no_birds = BuildingParameters(birds=0, roof_sun_m2=0.0, clear_sky_w=0.0, window_sun_share=0.0)
    lived = live(JANUARY, 2, building=no_birds, lamps=lamps)
    for day, balance in zip(lived.days, lived.balances, strict=True):
        shown = 60.0 * np.sum(day.heater_w + 120.0 * day.lamp_share)
        assert balance.given_j == pytest.approx(shown, rel=1e-9)
        assert balance.given_j > 1e6


def test_heat_lost_is_what_the_temperatures_show() -> None:
    """Air and mass decay from rest: what the walls lost is what both stores held."""
    shed = bare(Climate(air_c=18.0, mass_c=18.0, vapour_pa=50.0, wood=0.0))
    for k in range(15):
        shed.day(steady(JANUARY + k * DAY, 3.0), ())
    assert shed.climate is not None
    assert shed.climate.air_c == pytest.approx(3.0, abs=1e-3)
    fallen = BARE.air_j_per_k + BARE.mass_j_per_k
    shed = bare(Climate(air_c=18.0, mass_c=18.0, vapour_pa=50.0, wood=0.0))
    lost = 0.0
    for k in range(15):
        shed.day(steady(JANUARY + k * DAY, 3.0), ())
        assert shed.balance is not None
        lost += shed.balance.lost_j
    assert lost == pytest.approx(15.0 * fallen, rel=1e-3)


def test_shed_cools_as_the_matrix_exponential_says() -> None:
    climate = Climate(air_c=21.0, mass_c=16.0, vapour_pa=50.0, wood=0.0)
    day = bare(climate).day(steady(JANUARY, -4.0), ())
    # In a calm, cracks let six tenths of their usual share through.
    leak = BARE.window_m2 * BARE.window_w_m2_k
    leak += 0.6 * BARE.cracks_per_h * BARE.volume_m3 * AIR_J_PER_M3_K / 3600.0
    inner, outer = BARE.air_to_mass_w_per_k, BARE.mass_to_outdoors_w_per_k
    rates = np.array(
        [
            [-(inner + leak) / BARE.air_j_per_k, inner / BARE.air_j_per_k],
            [inner / BARE.mass_j_per_k, -(inner + outer) / BARE.mass_j_per_k],
        ]
    )
    for minute in (1, 10, 60, 300, 1_400):
        expected = expm(rates * 60.0 * minute) @ [25.0, 20.0] - 4.0
        assert day.temperature_c[minute] == pytest.approx(expected[0], abs=1e-6)


def test_shed_left_alone_loses_its_warmth_within_half_a_day() -> None:
    """The preset shed: a slow time of 11 to 17 h, as a lined wooden shed has (no source)."""
    found = bare(Climate(20.0, 20.0, 50.0, 0.0)).day(steady(JANUARY, 0.0), ()).temperature_c
    slow_h = 10.0 / np.log(found[2 * 60] / found[12 * 60])
    assert 11.0 < slow_h < 17.0


def test_shed_comes_to_rest_where_lamps_balance_losses() -> None:
    lamps = LampParameters(full_w=300.0, on=LampParameters().on, dim=timedelta(0))
    always = [Happening(what=What.LAMPS_ON, since=JANUARY, until=JANUARY + 30 * DAY)]
    still = replace(BARE, cracks_per_h=0.05, volume_m3=1.0)
    lived = live(JANUARY, 12, building=still, lamps=lamps, happenings=always)
    # Over the last ten days the shed is as much warmer as 300 W need.
    warmer = np.mean(lived.along("temperature_c")[2 * MINUTES :])
    warmer -= np.mean(lived.outdoors("temperature_c")[2 * MINUTES :])
    through = 5.7 + 1.0 / (1.0 / 150.0 + 1.0 / 38.0)
    assert warmer == pytest.approx(300.0 / through, rel=0.06)


def test_air_without_birds_and_water_takes_the_vapour_of_the_outdoors() -> None:
    shed = bare(Climate(12.0, 12.0, 2_000.0, 0.0), replace(BARE, window_m2=0.0))
    for k in range(3):
        day = shed.day(steady(JANUARY + k * DAY, 10.0, 5.0), ())
    psychrolib.SetUnitSystem(psychrolib.SI)
    # Tetens' formula is within 0.5 % of PsychroLib's.
    expected = psychrolib.GetSatVapPres(5.0)
    assert day.vapour_pa[-1] == pytest.approx(expected, rel=0.005)


@by_season
def test_humidity_lies_between_0_and_100(weeks: Weeks, at: datetime) -> None:
    for day in weeks(at).days:
        for air in (day, day.boxes["box-1"]):
            humidity = humidity_pct(air.temperature_c, air.vapour_pa)
            assert np.all((humidity > 5.0) & (humidity < 100.0))


@by_season
def test_air_in_the_shed_has_no_leaps_even_between_days(weeks: Weeks, at: datetime) -> None:
    found = weeks(at).along("temperature_c")
    # A heater of 1 kW warms 150 kJ/K by 0.4 K in a minute.
    assert np.max(abs(np.diff(found))) < 0.4
    assert np.max(abs(np.diff(weeks(at).along("vapour_pa")))) < 60.0


def test_shed_follows_the_weather_damped_and_late() -> None:
    """Without a heater, lamps, sun and vent: the lag of 1 to 8 h, and half the swing at most."""
    lived = live(JULY, 20, building=BARE, lamps=LampParameters(full_w=0.0))
    shed, outdoors = lived.along("temperature_c"), lived.outdoors("temperature_c")
    settled = slice(3 * MINUTES, None)
    shed, outdoors = shed[settled], outdoors[settled]
    by_day = [np.ptp(each.reshape(-1, MINUTES), axis=1).mean() for each in (shed, outdoors)]
    assert 0.15 < by_day[0] / by_day[1] < 0.6
    lags = range(0, 12 * 60, 10)
    alike = [np.corrcoef(shed[lag:], outdoors[: len(outdoors) - lag])[0, 1] for lag in lags]
    assert 60 < lags[int(np.argmax(alike))] < 8 * 60
    assert max(alike) > alike[0] + 0.05
    assert max(alike) > 0.8


def test_thermostat_holds_the_shed_between_its_two_temperatures(weeks: Weeks) -> None:
    lived = weeks(JANUARY)
    cold = lived.outdoors("temperature_c") < 3.0
    held = lived.along("temperature_c")[cold]
    assert held.size > MINUTES
    # A minute of heating or cooling beyond what the thermostat asks.
    assert np.min(held) > 10.0 - 0.2
    assert np.max(held) < 11.0 + 0.4


def test_heater_comes_on_and_goes_off_as_a_thermostat_does(weeks: Weeks) -> None:
    heater = weeks(JANUARY).along("heater_w") > 0.0
    temperature = weeks(JANUARY).along("temperature_c")
    comes_on, goes_off = (
        np.flatnonzero(np.diff(heater.astype(int)) == sign) + 1 for sign in (1, -1)
    )
    assert len(comes_on) > 20
    assert np.all(temperature[comes_on] < 10.0)
    assert np.all(temperature[goes_off] >= 11.0)
    # Neither a flutter nor once a day.
    periods = np.diff(comes_on)
    assert 8 < np.median(periods) < 120


def test_heater_rests_in_july(weeks: Weeks) -> None:
    assert not np.any(weeks(JULY).along("heater_w"))


def test_shed_falls_towards_the_frost_when_its_heater_fails() -> None:
    cold = [
        happens(What.COLD_NIGHT, 36.0, 58.0, -8.0),
        happens(What.HEATER_FAILS, 36.0, 55.0),
    ]
    with_heater, without = (live(JANUARY, 3, happenings=some) for some in (cold[:1], cold))
    night = slice(36 * 60, 55 * 60)
    assert np.min(with_heater.along("temperature_c")[night]) > 9.5
    assert np.min(without.along("temperature_c")[night]) < 3.0
    assert not np.any(without.along("heater_w")[night])
    assert np.all(without.along("mains") == 1.0)


def test_power_cut_takes_heater_and_lamps() -> None:
    lived = live(JANUARY, 2, happenings=[happens(What.POWER_CUT, 30.0, 36.0)])
    cut = slice(30 * 60, 36 * 60)
    assert not np.any(lived.along("mains")[cut])
    assert not np.any(lived.along("heater_w")[cut])
    assert not np.any(lived.along("lamp_share")[cut])
    assert np.all(np.delete(lived.along("mains"), np.arange(2 * MINUTES)[cut]) == 1.0)
    assert lived.along("temperature_c")[36 * 60] < 9.0


def test_shed_is_hotter_when_its_vent_is_stuck_shut() -> None:
    stuck = [Happening(what=What.VENT_STUCK_SHUT, since=JULY, until=JULY + WEEK * DAY)]
    usual, shut = live(JULY, WEEK), live(JULY, WEEK, happenings=stuck)
    hotter = shut.along("temperature_c") - usual.along("temperature_c")
    assert np.mean(hotter) > 1.5
    assert np.min(hotter) > -0.1


def test_sun_through_the_window_warms_the_shed() -> None:
    dark = BuildingParameters(window_sun_share=0.0)
    usual, shaded = (live(JULY, WEEK, building=each) for each in (None, dark))
    noon = np.arange(WEEK * MINUTES) % MINUTES // 60 == 12
    warmer = (usual.along("temperature_c") - shaded.along("temperature_c"))[noon]
    assert 0.5 < np.mean(warmer) < 6.0


@by_season
def test_coldest_surface_gathers_water_only_below_the_dew_point(weeks: Weeks, at: datetime) -> None:
    lived = weeks(at)
    film, dew = lived.along("condensate_g"), dew_point_c(lived.along("vapour_pa"))
    grows = np.flatnonzero(np.diff(film) > 1e-3)
    # Within a minute the air moves by a few hundredths of a kelvin of dew point.
    assert np.all((lived.along("surface_c") - dew)[grows] < 0.2)


def test_pane_is_wet_on_a_clear_cold_night_and_dries_by_day() -> None:
    lived = live(JANUARY, 4, happenings=[happens(What.COLD_NIGHT, 36.0, 58.0, -8.0)])
    film = lived.along("condensate_g")
    assert np.max(film[42 * 60 : 56 * 60]) > 5.0
    assert np.min(film[58 * 60 : 84 * 60]) < 1.0


def test_pane_of_double_glass_gathers_less() -> None:
    single, double = (
        live(JANUARY, 20, building=BuildingParameters(window_w_m2_k=u)).along("condensate_g")
        for u in (5.7, 1.2)
    )
    assert np.mean(double) < 0.2 * np.mean(single)


def test_water_beyond_the_film_runs_off() -> None:
    thin = BuildingParameters(film_g_per_m2=10.0, vapour_of_bird_g_per_h=2.0)
    lived = live(JANUARY, 5, building=thin)
    assert np.max(lived.along("condensate_g")) == pytest.approx(10.0)
    assert sum(day.drained_g for day in lived.balances) > 50.0


@by_season
def test_warmed_box_is_warmer_and_damper_than_the_shed(weeks: Weeks, at: datetime) -> None:
    for day in weeks(at).days:
        box = day.boxes["box-1"]
        assert np.all(box.temperature_c > day.temperature_c)
        assert np.all(box.vapour_pa > day.vapour_pa)
    warmer = [
        np.mean(day.boxes["box-1"].temperature_c - day.temperature_c) for day in weeks(at).days
    ]
    assert 1.5 < np.mean(warmer) < 7.0


def test_box_stays_warm_from_day_to_day() -> None:
    shed = bare(Climate(12.0, 12.0, 700.0, 0.0))
    shed.day(steady(JANUARY, 10.0), (nest(JANUARY, 1.0),))
    after = shed.day(steady(JANUARY + DAY, 10.0), (nest(JANUARY + DAY, 0.0),))
    excess = (after.boxes["box-1"].temperature_c - after.temperature_c)[[0, 25, 600]]
    # Its warmth fades with the box's own time.
    assert excess[1] / excess[0] == pytest.approx(np.exp(-1.0), rel=0.02)
    assert excess[2] < 1e-6


def test_more_birds_make_the_shed_warmer_and_damper() -> None:
    few, many = (live(JANUARY, 5, building=replace(BARE, birds=birds)) for birds in (5, 60))
    for name in ("temperature_c", "vapour_pa"):
        assert np.mean(many.along(name)) > np.mean(few.along(name))
    # 55 birds of 31 g at 0 to 5 °C give 0.9 W each, a sixth of it in vapour.
    by_weather = np.mean(many.along("temperature_c") - few.along("temperature_c"))
    assert 0.4 < by_weather < 1.6


def test_wood_calms_the_humidity() -> None:
    bare_walls, wood = (live(JULY, 10, building=BuildingParameters(wood_g=g)) for g in (0.0, 6e3))
    spread = [
        np.std(np.diff(humidity_pct(each.along("temperature_c"), each.along("vapour_pa"))[::60]))
        for each in (bare_walls, wood)
    ]
    assert spread[1] < 0.9 * spread[0]


def test_equal_sheds_live_equal_days() -> None:
    one, other = (live(JANUARY, 2, warm=0.5) for _ in range(2))
    for name in ("temperature_c", "vapour_pa", "condensate_g", "light_lx"):
        assert np.array_equal(one.along(name), other.along(name))


def test_day_before_the_first_has_no_balance() -> None:
    shed = bare(Climate(12.0, 12.0, 700.0, 0.0))
    assert shed.balance is None
    assert shed.climate == Climate(12.0, 12.0, 700.0, 0.0)


def test_shed_has_settled_when_its_first_day_begins() -> None:
    """The first day is no colder or damper than the second by what a cold start would be."""
    lived = live(JANUARY, 2, building=BuildingParameters(heater_w=0.0))
    first, second = (np.mean(day.temperature_c - day.outdoors.temperature_c) for day in lived.days)
    assert abs(first - second) < 3.0
