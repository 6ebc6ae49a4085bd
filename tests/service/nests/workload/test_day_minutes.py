"""Sums of work that may or may not come, against numpy and scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]

from service.nests.workload.day_minutes import mean, mixed, perhaps, quantile, together

_WORK = st.lists(st.tuples(st.integers(0, 20).map(lambda n: n / 2), st.floats(0, 1)), max_size=12)


@pytest.mark.parametrize("share", [0.05, 0.1, 0.5, 0.9, 0.95])
def test_alike_pieces_add_up_to_scipys_binomial(share: float) -> None:
    chances = together([perhaps(3, 0.3)] * 17)
    assert quantile(chances, share) == 3 * stats.binom.ppf(share, 17, 0.3)


@given(_WORK)
def test_chances_add_up_to_one_and_means_add_up(work: list[tuple[float, float]]) -> None:
    chances = together(perhaps(minutes, chance) for minutes, chance in work)
    assert sum(chances.values()) == pytest.approx(1)
    assert mean(chances) == pytest.approx(sum(minutes * chance for minutes, chance in work))


def test_unlike_pieces_add_up_as_numpy_convolves_them() -> None:
    work = [(2.0, 0.5), (3.5, 0.25), (4.0, 0.9), (0.5, 0.1)]
    steps = np.ones(1)
    for minutes, chance in work:
        one = np.zeros(int(minutes * 2) + 1)
        one[0], one[-1] = 1 - chance, chance
        steps = np.convolve(steps, one)
    chances = together(perhaps(minutes, chance) for minutes, chance in work)
    ours = [chances.get(n / 2, 0.0) for n in range(len(steps))]
    assert ours == pytest.approx(list(steps))


def test_sure_work_has_no_spread() -> None:
    chances = together([perhaps(4, 1), perhaps(6, 1)])
    assert (quantile(chances, 0.1), quantile(chances, 0.9)) == (10, 10)


def test_nothing_to_do_takes_no_time() -> None:
    assert together([]) == {0.0: 1.0}


def test_alternatives_come_by_their_shares() -> None:
    assert mixed([(0.25, {2.0: 1.0}), (0.75, {2.0: 0.5, 4.0: 0.5})]) == {2.0: 0.625, 4.0: 0.375}


@pytest.mark.parametrize(("minutes", "chance"), [(-1, 0.5), (1, 1.2), (1, -0.1)])
def test_impossible_work_is_refused(minutes: float, chance: float) -> None:
    with pytest.raises(ValueError, match="are no work"):
        perhaps(minutes, chance)
