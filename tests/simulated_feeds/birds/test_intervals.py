"""Stretches of time against sets of seconds."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from simulated_feeds.birds.intervals import (
    Intervals,
    after_seconds,
    clipped,
    joined,
    length_s,
    within,
    without,
)

STRETCHES = st.lists(
    st.tuples(st.integers(0, 60), st.integers(1, 20)).map(lambda one: (one[0], sum(one))),
    max_size=6,
)


def seconds(intervals: Intervals) -> set[int]:
    return {at for since, until in intervals for at in range(since, until)}


@given(STRETCHES, STRETCHES)
def test_without_is_the_difference_of_sets(some: Intervals, holes: Intervals) -> None:
    assert seconds(without(some, holes)) == seconds(some) - seconds(holes)


@given(STRETCHES)
def test_joined_is_the_same_set_in_order_and_apart(some: Intervals) -> None:
    found = joined(some)
    assert seconds(found) == seconds(some)
    assert all(a[1] < b[0] for a, b in pairwise(found))
    assert length_s(found) == len(seconds(some))


@given(STRETCHES, st.integers(0, 60), st.integers(1, 30))
def test_clipped_is_what_lies_within(some: Intervals, since: int, length: int) -> None:
    inside = seconds(some) & set(range(since, since + length))
    assert seconds(clipped(some, since, since + length)) == inside


@given(STRETCHES, st.integers(0, 80))
def test_within_asks_the_set(some: Intervals, at: int) -> None:
    assert within(some, at) is (at in seconds(some))


@given(STRETCHES, st.integers(1, 80))
def test_after_seconds_counts_along_the_stretches(some: Intervals, wanted: int) -> None:
    apart = joined(some)
    found = after_seconds(apart, wanted)
    if found is None:
        assert wanted > length_s(apart)
    else:
        assert length_s(clipped(apart, 0, found)) == wanted
