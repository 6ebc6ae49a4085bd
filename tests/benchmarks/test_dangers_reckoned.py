"""The reckoning that the figures of the rules rest on, by recordings written by hand."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.benchmarks.dangers_reckoned import House, dangers, dew_point_c, told_by

MINUTE = timedelta(minutes=1)
MIDNIGHT = datetime(2026, 3, 2, 0, 0, tzinfo=UTC)
HOUSE = House(
    overdue_after={"th-shed": 3 * MINUTE},
    zone=ZoneInfo("UTC"),
    on=time(6, 30),
    off=time(20, 30),
    dim=30 * MINUTE,
)


def due(told: Sequence[tuple[int, float, float]], until: int) -> list[tuple[str, float]]:
    """What is due when [min after midnight], of minutes, warmth [°C] and light [lx]."""
    sent = []
    for minute, warmth, lux in told:
        at = MIDNIGHT + minute * MINUTE
        values = {"temperature": warmth, "humidity": 60.0, "light": lux}
        records = [{"n": name, "v": value} for name, value in values.items()]
        head = {"bn": "th-shed:", "bt": at.timestamp(), "n": "seq", "v": 0}
        sent.append((at, json.dumps([head, *records]).encode()))
    found = dangers(list(told_by(sent)), HOUSE, MIDNIGHT + until * MINUTE)
    return [(one.rule, (one.due - MIDNIGHT) / MINUTE) for one in found]


def test_a_breach_is_due_when_it_has_lasted_the_delay() -> None:
    told = [(n, 8.0 if n < 5 else 4.0, 0.0) for n in range(30)]
    assert due(told, 30) == [("cold-night", 15.0)]


def test_one_good_reading_begins_the_delay_anew() -> None:
    told = [(n, 8.0 if n in (0, 9) else 4.0, 0.0) for n in range(30)]
    assert due(told, 30) == [("cold-night", 20.0)]


def test_by_day_no_night_is_cold() -> None:
    told = [(n, 4.0, 300.0) for n in range(600, 660)]
    assert due(told, 660) == []


def test_a_gap_counts_for_three_intervals_and_is_silence_from_then_on() -> None:
    told = [(n, 4.0, 0.0) for n in (*range(3), *range(20, 40))]
    assert due(told, 40) == [("overdue:th-shed", 5.0), ("cold-night", 25.0)]


def test_lamps_are_asked_for_while_they_should_be_full() -> None:
    told = [(n, 15.0, 0.0) for n in range(380, 480)]
    assert due(told, 480) == [("dark-by-day:shed", 440.0)]


def test_light_is_asked_for_in_the_midst_of_the_night() -> None:
    told = [(n, 15.0, 300.0) for n in range(100)]
    assert due(told, 100) == [("light-by-night:shed", 45.0)]


def test_lamps_out_at_a_stroke_and_a_fall_below_all_before_are_a_power_cut() -> None:
    told = [(n, 15.0, 300.0) for n in range(700, 900)]
    told += [(n, 15.0 - 0.11 * (n - 899), 0.0) for n in range(900, 910)]
    assert due(told, 910) == [("power-cut:shed", 908.0)]


def test_dew_point_is_that_of_tables() -> None:
    # 9.3 °C at 20 °C and 50 %: psychrometric tables (from memory).
    assert dew_point_c(20.0, 50.0) == pytest.approx(9.3, abs=0.05)
