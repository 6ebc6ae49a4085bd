"""Batteries run down, are changed, and sag."""

import numpy as np
import pytest

from simulated_feeds.senders.battery import Battery, dead_span
from simulated_feeds.senders.parameters import BatteryParameters
from simulated_feeds.senders.spans import DAY_MS

USUAL = BatteryParameters()


def percent(battery: Battery, *days: float) -> list[float]:
    found = battery.percent(np.array([round(DAY_MS * day) for day in days]))
    return [float(one) for one in found]


def test_it_falls_by_so_much_a_day() -> None:
    assert percent(Battery(USUAL, 0, ()), 0, 100) == pytest.approx([96.0, 71.0])


def test_keeper_changes_it_before_it_falls_below_the_least() -> None:
    every_day = percent(Battery(USUAL, 0, ()), *range(1500))
    assert min(every_day) >= USUAL.least_pct
    assert max(every_day[1:]) > 95.0


def test_sagging_one_is_empty_before_the_end_and_then_changed() -> None:
    sag = (10 * DAY_MS, 20 * DAY_MS)
    battery = Battery(USUAL, 0, [sag])
    assert percent(battery, 10, 14.5, 19, 19.9, 20) == pytest.approx([93.5, 46.75, 0, 0, 96])
    assert dead_span(sag) == (19 * DAY_MS, 20 * DAY_MS)


def test_voltage_falls_with_it() -> None:
    volts = Battery(USUAL, 0, ()).volts(np.array([0.0, 50.0, 100.0]))
    assert volts.tolist() == pytest.approx([2.4, 2.85, 3.3])
