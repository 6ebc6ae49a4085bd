"""Draws that can be looked up: fair enough for noise, and always the same."""

from itertools import pairwise
from statistics import fmean, pstdev

import pytest

from simulated_feeds.seeded import bell, uniform

DRAWS = 20_000


def test_uniform_draws_fill_their_range_evenly() -> None:
    draws = [uniform(7, 3, index) for index in range(DRAWS)]
    counts = [sum(tenth <= draw * 10 < tenth + 1 for draw in draws) for tenth in range(10)]
    # Five standard deviations of a binomial count: sqrt(20000 * 0.1 * 0.9) = 42.4.
    assert all(abs(count - DRAWS / 10) < 5 * 42.4 for count in counts)


def test_bell_has_mean_0_and_deviation_1() -> None:
    draws = [bell(7, 3, index) for index in range(DRAWS)]
    assert fmean(draws) == pytest.approx(0.0, abs=5 / DRAWS**0.5)
    assert pstdev(draws) == pytest.approx(1.0, abs=0.03)


def test_neighbouring_draws_are_not_alike() -> None:
    draws = [bell(7, 3, index) for index in range(DRAWS)]
    product = fmean(a * b for a, b in pairwise(draws))
    assert abs(product) < 5 / DRAWS**0.5


@pytest.mark.parametrize("other", [(8, 3, 5), (7, 4, 5), (7, 3, 6)])
def test_seed_stream_and_index_each_change_the_draw(other: tuple[int, int, int]) -> None:
    assert uniform(*other) != uniform(7, 3, 5)
