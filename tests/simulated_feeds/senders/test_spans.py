"""Stretches of time."""

import numpy as np

from simulated_feeds.senders.spans import between, clipped, inside, instant, merged, ms_of
from tests.simulated_feeds.hand_made_days import START


def test_milliseconds_lead_back_to_their_instant() -> None:
    assert instant(ms_of(START) + 1500).isoformat() == "2026-03-01T00:00:01.500000+00:00"


def test_stretches_that_touch_become_one() -> None:
    assert merged([(5, 7), (1, 3), (3, 4), (6, 9)]) == [(1, 4), (5, 9)]


def test_only_what_lies_within_is_left() -> None:
    assert clipped([(0, 5), (8, 20), (30, 40)], 3, 10) == [(3, 5), (8, 10)]


def test_between_is_what_is_left() -> None:
    assert between([(2, 3), (5, 7)], 0, 10) == [(0, 2), (3, 5), (7, 10)]
    assert between([(0, 10)], 0, 10) == []


def test_beginning_is_inside_and_end_is_not() -> None:
    at = np.array([1, 2, 3, 4], dtype=np.int64)
    assert inside(at, [(2, 4)]).tolist() == [False, True, True, False]
