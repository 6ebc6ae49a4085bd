"""The tests of the QARTOD manuals on worked cases.

Cases follow the formulas of the Manual for Real-Time Quality Control of In-situ Temperature and
Salinity Data, version 2.1 (from memory): flag values 1, 2, 3, 4, 9; for a spike the manual's
reference is the mean of both neighbours, which is the same for neighbours that are equal.
"""

import math

import numpy as np
import pytest

from service.quality.flag import Flag
from service.quality.qartod import (
    attenuated_signal,
    climatology,
    flat_line,
    gap,
    gross_range,
    multi_variate,
    neighbour,
    rate_of_change,
    spike,
)
from simulated_feeds.moist_air import saturation_pa

PASS, UNKNOWN, SUSPECT, FAIL, MISSING = Flag


@pytest.mark.parametrize(("since_s", "flag"), [(120.0, PASS), (180.0, PASS), (181.0, MISSING)])
def test_what_did_not_come_in_its_time_is_missing(since_s: float, flag: Flag) -> None:
    assert gap(since_s, 180.0) is flag


@pytest.mark.parametrize(
    ("value", "flag"),
    [(21.0, PASS), (-40.0, PASS), (60.1, SUSPECT), (125.1, FAIL), (math.nan, FAIL)],
)
def test_gross_range_fails_outside_the_sensor_and_suspects_outside_the_usual(
    value: float, flag: Flag
) -> None:
    assert gross_range(value, (-55.0, 125.0), (-40.0, 60.0)) is flag


# |v(n-1) - (v(n-2) + v(n)) / 2| of the manual is 4, 4, 11 and 0.5 in the first four.
@pytest.mark.parametrize(
    ("three", "flag"),
    [
        ((10.0, 14.0, 10.0), SUSPECT),
        ((10.0, 6.0, 10.0), SUSPECT),
        ((10.0, 21.0, 10.0), FAIL),
        ((10.0, 10.5, 10.0), PASS),
        ((10.0, 13.0, 10.0), PASS),
        ((10.0, 20.0, 20.0), PASS),
        ((10.0, 20.0, 19.9), PASS),
        ((10.0, 20.0, 30.0), PASS),
    ],
    ids=["up", "down", "far", "noise", "at the limit", "step", "noisy step", "ramp"],
)
def test_a_spike_sticks_out_of_both_neighbours(
    three: tuple[float, float, float], flag: Flag
) -> None:
    assert spike(*three, (3.0, 10.0)) is flag


@pytest.mark.parametrize(
    ("moved", "within_s", "flag"),
    [
        (3.9, 60.0, PASS),
        (4.1, 60.0, SUSPECT),
        (-4.1, 60.0, SUSPECT),
        (4.1, 120.0, PASS),
        (15.1, 1800.0, SUSPECT),
        (40.0, 1801.0, UNKNOWN),
    ],
)
def test_rate_of_change_allows_more_the_longer_it_took(
    moved: float, within_s: float, flag: Flag
) -> None:
    assert rate_of_change(moved, within_s, (3.0, 1.0, 15.0), 1800.0) is flag


@pytest.mark.parametrize(
    ("same_for_s", "same", "flag"),
    [(3600.0, 61, SUSPECT), (3540.0, 60, PASS), (7200.0, 9, PASS)],
)
def test_a_flat_line_is_long_and_of_many_readings(same_for_s: float, same: int, flag: Flag) -> None:
    assert flat_line(same_for_s, same, 3600.0, 10) is flag


@pytest.mark.parametrize(
    ("spans", "flag"),
    [
        ([(10.0, 10.04), (10.02, 10.05)], SUSPECT),
        ([(10.0, 10.04), (10.2, 10.3)], PASS),
        ([(10.0, 10.04)], UNKNOWN),
    ],
)
def test_an_attenuated_signal_moves_less_than_it_must(
    spans: list[tuple[float, float]], flag: Flag
) -> None:
    assert attenuated_signal(spans, 2, 0.1) is flag


@pytest.mark.parametrize(("value", "flag"), [(4.0, PASS), (-2.1, SUSPECT), (28.1, SUSPECT)])
def test_climatology_compares_with_the_past_of_the_place(value: float, flag: Flag) -> None:
    assert climatology(value, 8.0, 18.0, 10.0) is flag


def test_climatology_without_a_past_is_not_evaluated() -> None:
    assert climatology(40.0, None, None, 10.0) is UNKNOWN


@pytest.mark.parametrize("warm_c", [-5.0, 5.0, 15.0, 25.0])
@pytest.mark.parametrize("jump_c", [3.0, -3.0, 8.0])
def test_humidity_of_air_that_warms_at_once_moves_enough_to_be_told(
    warm_c: float, jump_c: float
) -> None:
    # The same water in air of another temperature: by saturation pressures over water
    # (the simulator's own formula, which knows nothing of the test).
    before = 55.0
    saturated = saturation_pa(np.array([warm_c, warm_c + jump_c]))
    after = before * float(saturated[0] / saturated[1])
    assert multi_variate(jump_c, after - before, min(after, 90.0)) is PASS


@pytest.mark.parametrize(
    ("jump_c", "moved_pct", "humidity_pct", "flag"),
    [(12.0, 0.3, 60.0, SUSPECT), (2.9, 0.3, 60.0, UNKNOWN), (12.0, 0.0, 99.0, UNKNOWN)],
)
def test_humidity_that_stays_while_temperature_jumps_is_suspect(
    jump_c: float, moved_pct: float, humidity_pct: float, flag: Flag
) -> None:
    assert multi_variate(jump_c, moved_pct, humidity_pct) is flag


@pytest.mark.parametrize(
    ("apart", "for_s", "flag"),
    [(8.1, 600.0, SUSPECT), (-8.1, 600.0, SUSPECT), (8.1, 599.0, PASS), (7.9, 9e9, PASS)],
)
def test_a_neighbour_is_apart_only_after_a_while(apart: float, for_s: float, flag: Flag) -> None:
    assert neighbour(apart, 8.0, for_s, 600.0) is flag
