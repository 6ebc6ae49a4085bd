"""What rests on a scale: stays, eggs that show late, damp wood, hands."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from simulated_feeds.day import DAY, Event, Handling, Kind, Minutes, NestDay, Stay, Who
from simulated_feeds.scales.parameters import ScaleParameters
from simulated_feeds.scales.true_mass import TrueMass, minute_after
from tests.simulated_feeds.hand_made_days import START, air_day, even

EACH_SECOND = np.arange(86_400.0)
STILL = ScaleParameters(
    moisture_g_per_pct=0.0, visit_spread_g=0.0, breath_g_per_h=0.0, fed_g=0.0, hand_g=0.0
)


def changed(**parameters: float) -> ScaleParameters:
    known = {name: getattr(STILL, name) for name in STILL.__dataclass_fields__}
    return ScaleParameters(**(known | parameters))


def at(hour: float) -> datetime:
    return START + timedelta(hours=hour)


def stay(since: float, until: float, who: Who = Who.HEN) -> Stay:
    return Stay(who=who, since=at(since), until=at(until))


def load(nest: NestDay | None, parameters: ScaleParameters = STILL) -> Minutes:
    return TrueMass(parameters, "box-1", seed=5).day(air_day(), nest, EACH_SECOND).grams


def of_hour(hour: float) -> int:
    return int(3600 * hour)


def test_empty_box_weighs_nothing_more_than_itself() -> None:
    assert load(None).tolist() == [0.0] * len(EACH_SECOND)


def test_everything_in_the_box_adds_up() -> None:
    nest = NestDay(
        at=START,
        box="box-1",
        bedding_g=even(100.0),
        eggs_g=even(4.6),
        brood_g=even(30.0),
        droppings_g=even(7.0),
    )
    assert load(nest) == pytest.approx(141.6)


def test_hen_weighs_from_the_second_she_comes_to_the_second_she_goes() -> None:
    nest = NestDay(at=START, box="box-1", hen_g=48.0, stays=(stay(6.0, 7.5),))
    grams = load(nest)
    assert grams[of_hour(6.0) - 1] == 0.0
    assert grams[of_hour(6.0)] == 48.0
    assert grams[of_hour(7.5) - 1] == 48.0
    assert grams[of_hour(7.5)] == 0.0


def test_hen_and_cock_together_weigh_both() -> None:
    nest = NestDay(
        at=START,
        box="box-1",
        hen_g=48.0,
        cock_g=44.0,
        stays=(stay(6.0, 9.0), stay(7.0, 7.1, Who.COCK)),
    )
    assert load(nest)[of_hour(7.05)] == 92.0


def test_egg_is_no_step_when_it_is_laid_and_shows_when_she_leaves() -> None:
    laid = at(6.5) + timedelta(seconds=20)
    eggs = even(0.0)
    eggs[minute_after(START, laid) :] = 2.3
    nest = NestDay(
        at=START,
        box="box-1",
        hen_g=48.0,
        eggs_g=eggs,
        stays=(stay(6.0, 8.0), stay(9.0, 10.0)),
        events=(Event(at=laid, kind=Kind.EGG_LAID, box="box-1", egg="e1", grams=2.3),),
    )
    grams = load(nest)
    assert grams[of_hour(6.0) : of_hour(8.0)] == pytest.approx(48.0)
    assert grams[of_hour(5.9)] == 0.0
    assert grams[of_hour(8.1)] == pytest.approx(2.3)
    # By the next visit she has eaten.
    assert grams[of_hour(9.5)] == pytest.approx(50.3)


def test_minute_after_an_instant_is_the_first_that_is_not_before_it() -> None:
    assert minute_after(START, START + timedelta(minutes=3)) == 3
    assert minute_after(START, START + timedelta(minutes=3, seconds=1)) == 4


def test_sitting_hen_gets_lighter_by_what_she_breathes_out() -> None:
    nest = NestDay(at=START, box="box-1", hen_g=48.0, stays=(stay(0.0, 10.0),))
    grams = load(nest, changed(breath_g_per_h=0.15))
    assert grams[of_hour(4.0)] == pytest.approx(48.0 - 0.6)


def test_she_never_breathes_herself_away() -> None:
    nest = NestDay(at=START, box="box-1", hen_g=48.0, stays=(stay(0.0, 24.0),))
    assert load(nest, changed(breath_g_per_h=2.0)).min() == pytest.approx(0.95 * 48.0)


def test_stay_over_midnight_is_one_stay() -> None:
    mass = TrueMass(changed(breath_g_per_h=0.15, visit_spread_g=2.0), "box-1", seed=5)
    evening = NestDay(at=START, box="box-1", hen_g=48.0, stays=(stay(20.0, 24.0),))
    morning = NestDay(
        at=START + DAY, box="box-1", hen_g=51.0, stays=(stay(24.0, 30.0), stay(32.0, 33.0))
    )
    before = mass.day(air_day(), evening, EACH_SECOND).grams
    after = mass.day(air_day(START + DAY), morning, EACH_SECOND).grams
    assert after[0] == pytest.approx(before[-1], abs=0.001)
    assert after[of_hour(5.0)] == pytest.approx(before[-1] - 5 * 0.15, abs=0.001)
    assert abs(after[of_hour(8.5)] - 51.0) < 8.0


def test_visits_differ_by_the_spread_that_is_claimed() -> None:
    stays = tuple(stay(n / 10.0, n / 10.0 + 1 / 60.0) for n in range(200))
    nest = NestDay(at=START, box="box-1", hen_g=48.0, stays=stays)
    grams = load(nest, changed(visit_spread_g=1.2))
    masses = [grams[of_hour(n / 10.0) + 10] for n in range(200)]
    assert np.std(masses) == pytest.approx(1.2, rel=0.2)
    assert np.mean(masses) == pytest.approx(48.0, abs=5 * 1.2 / 200**0.5)


def test_fed_hen_is_heavier_when_the_cock_has_gone() -> None:
    nest = NestDay(
        at=START,
        box="box-1",
        hen_g=48.0,
        cock_g=44.0,
        stays=(stay(6.0, 9.0), stay(7.0, 7.1, Who.COCK)),
    )
    grams = load(nest, changed(fed_g=1.5))
    gained = grams[of_hour(8.0)] - grams[of_hour(6.5)]
    assert 0.75 <= gained <= 2.25


def test_damp_wood_follows_the_air_with_its_own_time_constant() -> None:
    parameters = changed(moisture_g_per_pct=0.2, moisture_lag_h=36.0)
    mass = TrueMass(parameters, "box-1", seed=5)
    # At 20 °C saturated air holds 2339 Pa (IAPWS-IF97, from memory): 40 % and 80 % of it.
    dry = mass.day(air_day(temperature_c=20.0, vapour_pa=0.4 * 2339), None, EACH_SECOND).grams
    damp = mass.day(
        air_day(START + DAY, temperature_c=20.0, vapour_pa=0.8 * 2339), None, EACH_SECOND
    ).grams
    assert dry == pytest.approx(0.2 * -20.0, abs=0.05)
    gained = damp[-1] - dry[-1]
    assert gained == pytest.approx(0.2 * 40.0 * (1.0 - np.exp(-24.0 / 36.0)), abs=0.1)


def test_usual_moisture_moves_a_box_by_a_gram_or_so_in_days() -> None:
    # Scales under wooden boxes were taken to wander by 0.8 g (one sd); humidity's own daily
    # means by 5 to 10 % (common practice, no source).
    assert 0.4 <= 7.5 * ScaleParameters().moisture_g_per_pct <= 2.0


def test_hand_shakes_the_scale_and_the_lid_is_off() -> None:
    handling = Handling(since=at(9.0), until=at(9.0) + timedelta(seconds=90))
    nest = NestDay(at=START, box="box-1", bedding_g=even(100.0), handled=(handling,))
    grams = load(nest, changed(hand_g=60.0, lid_g=120.0))
    during = grams[of_hour(9.0) : of_hour(9.0) + 90]
    assert during.std() > 20.0
    assert grams[of_hour(9.0) - 1] == 100.0
    assert grams[of_hour(9.0) + 90] == 100.0
    still = load(nest, changed(lid_g=120.0))
    assert still[of_hour(9.0) + 30] == pytest.approx(-20.0)


def test_tells_where_a_bird_stirs() -> None:
    nest = NestDay(at=START, box="box-1", hen_g=48.0, stays=(stay(6.0, 7.0),))
    occupied = TrueMass(STILL, "box-1", seed=5).day(air_day(), nest, EACH_SECOND).occupied
    assert occupied.sum() == 3600
    assert occupied[of_hour(6.5)]
