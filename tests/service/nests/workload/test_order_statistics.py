"""Medians and spans of a few numbers, against other people's programs and printed tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]

from service.nests.workload.order_statistics import middle, rank_of_interval, spread

# Conover, Practical Nonparametric Statistics, 3rd edition (1999), section 3.2, and many other
# books print the ranks of the confidence interval of a median; these are from memory:
# 95 % needs 6 numbers, 90 % needs 5; with 20 numbers the 95 % interval is the 6th to the 15th,
# with 10 the 2nd to the 9th.
PRINTED_RANKS = [(5, 0.90, 1), (6, 0.95, 1), (10, 0.95, 2), (15, 0.95, 4), (20, 0.95, 6)]


@pytest.mark.parametrize(("count", "level", "rank"), PRINTED_RANKS)
def test_rank_is_that_of_the_printed_table(count: int, level: float, rank: int) -> None:
    assert rank_of_interval(count, level) == rank


@pytest.mark.parametrize(("count", "level"), [(4, 0.90), (5, 0.95), (1, 0.5), (0, 0.9)])
def test_too_few_numbers_have_no_interval(count: int, level: float) -> None:
    assert rank_of_interval(count, level) is None
    assert middle([1.0] * count, level) is None


@pytest.mark.parametrize("count", range(5, 60))
def test_rank_is_that_of_scipys_binomial_quantile(count: int) -> None:
    # Of k below the median: the largest k - 1 with P(X <= k - 1) <= 5 %, X ~ B(count, 1/2).
    below = int(stats.binom.ppf(0.05, count, 0.5))
    if stats.binom.cdf(below, count, 0.5) > 0.05 + 1e-12:
        below -= 1
    assert rank_of_interval(count, 0.90) == below + 1


@pytest.mark.parametrize("count", [5, 12, 31])
def test_interval_is_that_of_scipys_quantile_test(count: int) -> None:
    numbers = list(np.random.default_rng(count).gamma(4, 5, count))
    told = middle(numbers)
    assert told is not None
    theirs = stats.quantile_test(numbers, p=0.5).confidence_interval(confidence_level=0.90)
    assert (told.low, told.high) == pytest.approx((theirs.low, theirs.high))


@given(st.lists(st.floats(0.1, 1000), min_size=5, max_size=40))
def test_middle_is_numpys_median(numbers: list[float]) -> None:
    told = middle(numbers)
    assert told is not None
    assert told.value == pytest.approx(float(np.median(numbers)))
    assert told.low <= told.value <= told.high
    assert told.count == len(numbers)


def test_median_interval_holds_the_median_as_often_as_it_says() -> None:
    chance = np.random.default_rng(7)
    held = 0
    for _ in range(4000):
        told = middle(list(chance.lognormal(0, 1, 12)))
        assert told is not None
        held += told.low <= 1.0 <= told.high
    # With 12 numbers the 3rd to the 10th hold it in 96.1 % (binomial); 2 standard errors.
    exact = 1 - 2 * stats.binom.cdf(2, 12, 0.5)
    assert exact >= 0.90
    assert held / 4000 == pytest.approx(exact, abs=2.5 * (exact * (1 - exact) / 4000) ** 0.5)


@pytest.mark.parametrize(("count", "cover"), [(9, 0.8), (12, 11 / 13), (19, 0.8), (20, 17 / 21)])
def test_spread_covers_what_its_ranks_say(count: int, cover: float) -> None:
    told = spread([float(n) for n in range(count)])
    assert told is not None
    assert told.cover == pytest.approx(cover)
    assert told.cover >= 0.8


def test_eight_numbers_are_too_few_for_a_spread() -> None:
    assert spread([float(n) for n in range(8)]) is None


@pytest.mark.parametrize("count", [9, 12, 30])
def test_next_number_lies_in_the_spread_as_often_as_it_says(count: int) -> None:
    chance = np.random.default_rng(count)
    held, cover = 0, 0.0
    for _ in range(4000):
        numbers = chance.lognormal(0, 0.7, count + 1)
        told = spread(list(numbers[:-1]))
        assert told is not None
        cover = told.cover
        held += told.low <= numbers[-1] <= told.high
    assert held / 4000 == pytest.approx(cover, abs=2.5 * (cover * (1 - cover) / 4000) ** 0.5)
