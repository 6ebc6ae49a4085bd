"""Stretches of time that touch are one."""

import numpy as np

from simulated_feeds.day import MINUTE
from simulated_feeds.records.stretches import Joined, spans_where
from tests.simulated_feeds.records.still_day import NOON


def test_stretches_that_touch_are_told_as_one() -> None:
    joined = Joined()
    first = (NOON, NOON + 5 * MINUTE)
    second = (NOON + 5 * MINUTE, NOON + 9 * MINUTE)
    assert list(joined.add([first, second])) == []
    assert list(joined.rest()) == [(NOON, NOON + 9 * MINUTE)]


def test_a_break_ends_a_stretch() -> None:
    joined = Joined()
    first = (NOON, NOON + 5 * MINUTE)
    assert list(joined.add([first, (NOON + 6 * MINUTE, NOON + 9 * MINUTE)])) == [first]


def test_stretches_of_a_boolean_a_minute_have_its_bounds() -> None:
    holds = np.array([True, True, False, True])
    assert list(spans_where(NOON, holds)) == [
        (NOON, NOON + 2 * MINUTE),
        (NOON + 3 * MINUTE, NOON + 4 * MINUTE),
    ]


def test_what_never_holds_has_no_stretch() -> None:
    assert list(spans_where(NOON, np.zeros(5, dtype=bool))) == []
