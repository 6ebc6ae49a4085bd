"""A led stretch begins and ends in nothing, and its aim is met."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from simulated_feeds.happening import Happening, What
from simulated_feeds.outdoors.leading import LED, Led, aimed, bounds, led_weather
from simulated_feeds.outdoors.usual import Hours

clock_h = np.arange(491_000.0, 491_100.0)
DAILY = 10.0 + 5.0 * np.sin(2 * np.pi * clock_h / 24.0)
USUAL = Hours(
    hours=clock_h,
    temperature_c=DAILY,
    dew_point_c=DAILY - 4.0,
    cloud=np.full(100, 0.6),
    wind_m_s=np.full(100, 5.0),
)
STRETCH = Led(what=What.COLD_NIGHT, since=491_020.0, until=491_050.0)


def happening(what: What, amount: float | None) -> Happening:
    epoch = datetime(1970, 1, 1, tzinfo=UTC)
    return Happening(
        what=what,
        since=epoch + timedelta(hours=491_020),
        until=epoch + timedelta(hours=491_050),
        amount=amount,
    )


def led(what: What, amount: float | None = None) -> Hours:
    told = happening(what, amount)
    return led_weather(USUAL, (aimed(bounds(told), told, USUAL),))


def test_weight_is_nothing_outside_and_full_between_rise_and_fall() -> None:
    weight = STRETCH.weight(clock_h)
    full_from, full_until = STRETCH.full
    assert not np.any(weight[(clock_h <= STRETCH.since) | (clock_h >= STRETCH.until)])
    assert np.all(weight[(clock_h >= full_from) & (clock_h <= full_until)] == 1.0)
    assert np.all(np.diff(weight[clock_h <= full_from]) >= 0.0)
    assert np.all(np.diff(weight[clock_h >= full_until]) <= 0.0)


def test_rise_and_fall_of_a_long_stretch_take_hours_not_days() -> None:
    long = Led(what=What.HEAT_WAVE, since=0.0, until=24.0 * 30)
    assert long.full == (12.0, 24.0 * 30 - 8.0)


@pytest.mark.parametrize("low", [-12.0, 0.0, 8.0, 14.0])
def test_low_of_a_cold_night_is_the_amount(low: float) -> None:
    within = (clock_h > STRETCH.since) & (STRETCH.weight(clock_h) >= 0.5)
    assert np.min(led(What.COLD_NIGHT, low).temperature_c[within]) == pytest.approx(low)


@pytest.mark.parametrize("high", [20.0, 36.0])
def test_high_of_a_heat_wave_is_the_amount(high: float) -> None:
    within = STRETCH.weight(clock_h) >= 0.5
    assert np.max(led(What.HEAT_WAVE, high).temperature_c[within]) == pytest.approx(high)


def test_cold_night_keeps_the_dew_points_distance() -> None:
    found = led(What.COLD_NIGHT, -5.0)
    assert found.temperature_c - found.dew_point_c == pytest.approx(np.full(100, 4.0))


def test_damp_night_warms_only_what_is_colder_than_its_fog() -> None:
    found = led(What.DAMP_NIGHT, 9.0)
    midst = STRETCH.weight(clock_h) == 1.0
    assert found.temperature_c[midst] == pytest.approx(np.maximum(DAILY, 9.0)[midst])
    assert (found.temperature_c - found.dew_point_c)[midst] == pytest.approx(0.2)


def test_amounts_that_are_not_told_have_preset_ones() -> None:
    cold, hot = led(What.COLD_NIGHT), led(What.HEAT_WAVE)
    heavy = STRETCH.weight(clock_h) >= 0.5
    assert np.min(cold.temperature_c[heavy]) == pytest.approx(-4.0)
    assert np.max(hot.temperature_c[heavy]) == pytest.approx(33.0)


@pytest.mark.parametrize("what", LED)
def test_hours_outside_are_as_they_were(what: What) -> None:
    outside = (clock_h <= STRETCH.since) | (clock_h >= STRETCH.until)
    assert np.array_equal(led(what).temperature_c[outside], DAILY[outside])
    assert np.array_equal(led(what).cloud[outside], USUAL.cloud[outside])
