"""Sensors of air and light do what their parameters claim."""

import math
from dataclasses import replace

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest

from simulated_feeds.day import MINUTES, Minutes, ShedDay
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.senders.feeds import HUMIDITY, LIGHT, MAINS, TEMPERATURE
from simulated_feeds.senders.parameters import AirSensorParameters, Sender, SenderKind, Where
from simulated_feeds.senders.senses import AirSense, MainsSense, Told, Wetness
from tests.simulated_feeds.hand_made_days import air_day, even
from tests.simulated_feeds.senders.made_senders import EXACT, sender

EACH_TEN_S = np.arange(0.0, 86_400.0, 10.0)
FRESH = np.zeros(len(EACH_TEN_S))


def saturated_pa(temperature_c: float) -> float:
    """By the formula of the ASHRAE Handbook, as psychrolib has it: not by our own."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    return float(psychrolib.GetSatVapPres(temperature_c))


def sensed(
    parameters: AirSensorParameters,
    sagged: Minutes = FRESH,
    device: str = "th-1",
    **air: Minutes | float,
) -> Told:
    sense = AirSense(sender(device, air=parameters), device, seed=4)
    return sense.day(ShedDay(air=air_day(**air), nests=()), EACH_TEN_S, sagged)  # type: ignore[arg-type]


def test_exact_sensor_tells_the_air_as_it_is() -> None:
    told = sensed(EXACT, temperature_c=18.0, vapour_pa=0.6 * saturated_pa(18.0), light_lx=250.0)
    assert told[TEMPERATURE] == pytest.approx(18.0)
    # Ours and the handbook's saturation differ by less than 0.5 %.
    assert told[HUMIDITY] == pytest.approx(60.0, abs=0.4)
    assert told[LIGHT] == pytest.approx(250.0)


@pytest.mark.parametrize("noise", [0.03, 0.3])
def test_noise_has_the_standard_deviation_that_is_claimed(noise: float) -> None:
    noisy = replace(
        EXACT,
        temperature_noise_k=noise,
        humidity_noise_pct=10 * noise,
        temperature_resolution_k=0.001,
    )
    told = sensed(noisy, temperature_c=18.0, vapour_pa=1000.0)
    # The error of a standard deviation from n draws is 1 / sqrt(2 n): 0.8 % here.
    assert told[TEMPERATURE].std() == pytest.approx(noise, rel=0.04)
    assert told[HUMIDITY].std() == pytest.approx(10 * noise, rel=0.04)


def test_each_sensor_is_off_by_its_own_constant_within_its_accuracy() -> None:
    rough = replace(EXACT, temperature_accuracy_k=0.5, humidity_accuracy_pct=2.0)
    told = [sensed(rough, device=f"th-{n}", temperature_c=18.0) for n in range(40)]
    off = np.array([one[TEMPERATURE][0] - 18.0 for one in told])
    assert np.abs(off).max() <= 0.505
    # Evenly spread: the standard deviation of an even spread of ±a is a / sqrt(3).
    assert off.std() == pytest.approx(0.5 / 3**0.5, rel=0.3)
    assert all(np.ptp(one[TEMPERATURE]) == 0.0 for one in told)


def test_humidity_and_light_are_off_within_their_accuracy_too() -> None:
    rough = replace(EXACT, humidity_accuracy_pct=2.0, light_accuracy_share=0.1)
    told = [sensed(rough, device=f"th-{n}", vapour_pa=700.0) for n in range(40)]
    exact = sensed(EXACT, vapour_pa=700.0)
    damp = np.array([one[HUMIDITY][0] - exact[HUMIDITY][0] for one in told])
    bright = np.array([one[LIGHT][0] / exact[LIGHT][0] - 1.0 for one in told])
    assert 1.0 < np.abs(damp).max() <= 2.1
    assert 0.05 < np.abs(bright).max() <= 0.102


@pytest.mark.parametrize("tau_s", [60.0, 300.0, 900.0])
def test_it_lags_behind_a_steady_fall_by_its_time_constant(tau_s: float) -> None:
    slow = replace(EXACT, temperature_lag_s=tau_s, temperature_resolution_k=0.001)
    falling = 20.0 - 0.01 * np.arange(float(MINUTES))
    told = sensed(slow, temperature_c=falling)[TEMPERATURE]
    truth = 20.0 - 0.01 * EACH_TEN_S / 60.0
    # The analytic answer to a ramp from rest: it is late by tau, but for what is not yet late.
    late = 0.01 / 60.0 * tau_s * (1.0 - np.exp(-EACH_TEN_S / tau_s))
    before_last_minute = EACH_TEN_S < 60.0 * (MINUTES - 1)
    assert told[before_last_minute] == pytest.approx((truth + late)[before_last_minute], abs=0.0006)


def test_humidity_lags_by_its_own_time_constant() -> None:
    slow = replace(EXACT, humidity_lag_s=600.0, humidity_resolution_pct=0.001)
    vapour = even(0.4 * saturated_pa(20.0))
    vapour[100:] = 0.8 * saturated_pa(20.0)
    told = sensed(slow, temperature_c=20.0, vapour_pa=vapour)[HUMIDITY]
    first, last = told[0], told[-1]
    # The step is a ramp of one minute, from minute 99 to 100; after t from its end the
    # analytic rest is tau / 60 s * (exp(60 s / tau) - 1) * exp(-(t + 60 s) / tau).
    t = 600.0
    rest = 600.0 / 60.0 * (math.exp(0.1) - 1.0) * math.exp(-(t + 60.0) / 600.0)
    assert told[600 + 60] == pytest.approx(last - (last - first) * rest, abs=0.01)


@pytest.mark.parametrize("resolution", [0.0625, 0.1, 0.5])
def test_values_are_whole_numbers_of_the_resolution(resolution: float) -> None:
    coarse = replace(EXACT, temperature_resolution_k=resolution)
    told = sensed(coarse, temperature_c=np.linspace(5.0, 25.0, MINUTES))[TEMPERATURE]
    parts = told / resolution
    assert parts == pytest.approx(np.rint(parts), abs=1e-9)
    assert (
        np.abs(
            told - np.interp(EACH_TEN_S, 60.0 * np.arange(MINUTES), np.linspace(5, 25, MINUTES))
        ).max()
        <= resolution / 2 + 1e-9
    )


def test_humidity_never_leaves_its_range() -> None:
    noisy = replace(EXACT, humidity_noise_pct=5.0, wets_at_pct=101.0)
    damp = sensed(noisy, temperature_c=10.0, vapour_pa=0.99 * saturated_pa(10.0))[HUMIDITY]
    assert damp.max() == 100.0
    dry = sensed(noisy, temperature_c=25.0, vapour_pa=30.0)[HUMIDITY]
    assert dry.min() == 0.0


def wetness(dries_in_h: float = 2.0) -> Wetness:
    return Wetness(replace(EXACT, wets_at_pct=99.0, dries_below_pct=85.0, dries_in_h=dries_in_h))


def test_wet_sensor_stays_at_a_hundred_until_it_has_been_dry_long_enough() -> None:
    humidity = even(70.0)
    humidity[300:310] = 99.5
    humidity[310:400] = 90.0  # not yet dry
    wet = wetness().day(humidity)
    assert not wet[:300].any()
    assert wet[300 : 400 + 120].all()
    assert not wet[400 + 121 :].any()


def test_it_stays_wet_over_midnight() -> None:
    sensor = wetness()
    evening = even(70.0)
    evening[-30:] = 100.0
    sensor.day(evening)
    wet = sensor.day(even(70.0))
    assert wet[:120].all()
    assert not wet[121:].any()


def test_nearly_saturated_air_does_not_wet_it() -> None:
    assert not wetness().day(even(98.9)).any()


def test_wet_sensor_tells_a_hundred() -> None:
    vapour = even(0.6 * saturated_pa(10.0))
    vapour[300:360] = 1.01 * saturated_pa(10.0)
    told = sensed(EXACT, temperature_c=10.0, vapour_pa=vapour)[HUMIDITY]
    assert told[6 * 300 : 6 * 480].min() == 100.0
    assert told[6 * 482] == pytest.approx(60.0, abs=1.0)


def test_dying_battery_brings_values_along() -> None:
    told = sensed(EXACT, np.linspace(0.0, 1.0, len(EACH_TEN_S)), temperature_c=15.0)
    assert told[TEMPERATURE][0] == pytest.approx(15.0)
    assert told[TEMPERATURE][-1] == pytest.approx(15.0 + sender().battery.sag_k)


def test_sensor_in_a_box_feels_the_box_and_one_outdoors_the_weather() -> None:
    day = ShedDay(air=air_day(temperature_c=12.0, boxes=("box-1",)), nests=())
    kind = SenderKind.AIR

    def warmth(one: Sender) -> float:
        return float(AirSense(one, one.device, 1).day(day, EACH_TEN_S, FRESH)[TEMPERATURE][0])

    assert warmth(sender("a", kind=kind, air=EXACT)) == pytest.approx(12.0)
    boxed = sender("b", kind=kind, air=EXACT, where=Where.BOX, place="box-1")
    assert warmth(boxed) == pytest.approx(15.0)
    outdoors = sender("c", kind=kind, air=EXACT, where=Where.OUTDOORS, place="outdoors")
    assert warmth(outdoors) == pytest.approx(5.0)


def test_thermometer_on_the_coldest_surface_tells_how_cold_that_is_and_no_humidity() -> None:
    cold = replace(air_day(temperature_c=12.0), surface_c=even(7.5))
    pane = sender("p", kind=SenderKind.THERMOMETER, air=EXACT, where=Where.SURFACE, place="surface")
    told = AirSense(pane, "p", 1).day(ShedDay(air=cold, nests=()), EACH_TEN_S, FRESH)
    assert told[TEMPERATURE] == pytest.approx(7.5)
    assert set(told) == {TEMPERATURE}


def test_a_sensor_of_air_does_not_stick_to_a_surface() -> None:
    with pytest.raises(ImpossibleParameterError, match="sticks to a surface"):
        sender("p", kind=SenderKind.AIR, where=Where.SURFACE, place="surface")


def test_air_outdoors_has_the_humidity_of_its_dew_point() -> None:
    day = ShedDay(air=air_day(), nests=())
    outdoors = sender("c", kind=SenderKind.AIR, air=EXACT, where=Where.OUTDOORS)
    told = AirSense(outdoors, "c", 1).day(day, EACH_TEN_S, FRESH)[HUMIDITY]
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert told[0] == pytest.approx(100 * psychrolib.GetRelHumFromTDewPoint(5.0, 2.0), abs=0.5)


def test_box_that_there_is_not_is_named() -> None:
    boxed = sender("b", kind=SenderKind.AIR, where=Where.BOX, place="box-7")
    day = ShedDay(air=air_day(boxes=("box-1",)), nests=())
    with pytest.raises(ImpossibleParameterError, match="place of b is box-7; allowed is box-1"):
        AirSense(boxed, "b", 1).day(day, EACH_TEN_S, FRESH)


def test_mains_are_there_or_not() -> None:
    power = even(1.0)
    power[60:90] = 0.0
    told = MainsSense().day(ShedDay(air=air_day(mains=power), nests=()), EACH_TEN_S, FRESH)[MAINS]
    assert set(told.tolist()) == {0.0, 1.0}
    assert (told == 0.0).sum() == 30 * 6


def test_usual_sensor_is_as_good_as_small_digital_ones_are_said_to_be() -> None:
    # Data sheets of such sensors: typically within 0.2 °C and 2 %.
    usual = AirSensorParameters()
    assert usual.temperature_accuracy_k <= 0.2
    assert usual.humidity_accuracy_pct <= 2.0
