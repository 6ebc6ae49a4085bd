"""Lags against the solutions of their equation, and against scipy's own filters."""

import numpy as np
import pytest
from scipy.signal import lfilter, lsim  # type: ignore[import-untyped]

from simulated_feeds.day import MINUTES
from simulated_feeds.lag import Follower, recursion, steps_followed

TAU_S = 180.0
EVERY_SEVEN_S = np.arange(3.0, 60.0 * (MINUTES - 1), 7.0)


def test_recursion_is_that_of_scipy() -> None:
    values = np.random.default_rng(1).standard_normal(5000)
    expected, _ = lfilter([1.0], [1.0, -0.99], values, zi=[0.99 * 4.0])
    assert recursion(values, 0.99, 4.0) == pytest.approx(expected, abs=1e-9)


def test_recursion_that_keeps_nothing_is_its_forcing() -> None:
    values = np.array([1.0, 2.0, 3.0])
    assert recursion(values, 0.0, 9.0).tolist() == [1.0, 2.0, 3.0]


def test_recursion_leaves_its_input_alone() -> None:
    values = np.ones(10)
    recursion(values, 0.5, 3.0)
    assert values.tolist() == [1.0] * 10


def test_step_is_followed_as_one_less_the_exponential() -> None:
    # The definition of a time constant: 63.2 % of a step after one of them (WMO Guide to
    # Instruments and Methods of Observation, part I, chapter 1, from memory).
    followed = steps_followed(np.ones(600), 1.0, 60.0, 0.0)
    seconds = np.arange(1, 601)
    assert followed == pytest.approx(1.0 - np.exp(-seconds / 60.0), abs=1e-12)
    assert followed[59] == pytest.approx(0.632, abs=0.001)


def test_steady_rise_is_followed_one_time_constant_late() -> None:
    slope = 0.5 / 60.0
    minutes = slope * 60.0 * np.arange(float(MINUTES))
    late = Follower(TAU_S).day(minutes, EVERY_SEVEN_S)
    expected = slope * (EVERY_SEVEN_S - TAU_S * (1.0 - np.exp(-EVERY_SEVEN_S / TAU_S)))
    assert late == pytest.approx(expected, abs=1e-9)


def test_any_air_is_followed_as_scipy_follows_it() -> None:
    chance = np.random.default_rng(2)
    minutes = 10.0 + np.cumsum(0.2 * chance.standard_normal(MINUTES))
    # scipy's lsim takes the input as straight lines between its instants too.
    seconds = np.arange(60.0 * (MINUTES - 1))
    fine = np.interp(seconds, 60.0 * np.arange(MINUTES), minutes)
    _, expected, _ = lsim(([1.0], [TAU_S, 1.0]), fine - minutes[0], seconds)
    late = Follower(TAU_S).day(minutes, seconds) - minutes[0]
    assert late == pytest.approx(expected, abs=1e-6)


def test_two_days_are_followed_as_one() -> None:
    minutes = np.sin(np.arange(2 * MINUTES) / 40.0)
    parted = Follower(TAU_S)
    at_s = np.arange(0.0, 60.0 * MINUTES, 60.0)
    halves = [parted.day(one, at_s) for one in (minutes[:MINUTES], minutes[MINUTES:])]
    whole = Follower(TAU_S).day(minutes, np.arange(0.0, 120.0 * MINUTES, 60.0))
    assert np.concatenate(halves) == pytest.approx(whole, abs=1e-12)


def test_nothing_is_late_without_a_lag() -> None:
    minutes = np.arange(float(MINUTES))
    assert Follower(0.0).day(minutes, np.array([90.0]))[0] == pytest.approx(1.5)


def test_beginning_is_at_rest() -> None:
    late = Follower(TAU_S).day(np.full(MINUTES, 7.0), np.array([0.0, 30.0]))
    assert late.tolist() == [7.0, 7.0]
