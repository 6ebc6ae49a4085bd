"""Shares and their intervals, against another program and a printed table."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import (  # type: ignore[import-untyped]
    confint_proportions_2indep,
    proportion_confint,
)

from service.nests.share import Share, difference, wilson

shares = st.integers(1, 400).flatmap(
    lambda of: st.integers(0, of).map(lambda count: Share(count=count, of=of))
)


@given(share=shares)
def test_the_interval_is_that_of_statsmodels(share: Share) -> None:
    """statsmodels 0.14, proportion_confint(method="beta"): Clopper and Pearson's."""
    low, high = proportion_confint(share.count, share.of, alpha=0.10, method="beta")
    found = share.interval()
    assert found is not None
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-9)


# Geigy Scientific Tables (Documenta Geigy), exact 95 % confidence limits of a percentage, N = 10;
# the values from memory.
@pytest.mark.parametrize(
    ("count", "low", "high"),
    [(0, 0.0, 30.85), (1, 0.25, 44.50), (2, 2.52, 55.61), (3, 6.67, 65.25), (5, 18.71, 81.29)],
)
def test_the_interval_is_that_of_the_printed_table(count: int, low: float, high: float) -> None:
    found = Share(count=count, of=10).interval(level=0.95)
    assert found is not None
    assert (100 * found.low, 100 * found.high) == pytest.approx((low, high), abs=0.01)


def test_none_of_ten_reaches_as_far_as_the_formula_says() -> None:
    """With none, the upper end p solves (1 - p)^n = 0.05; an identity of the binomial."""
    found = Share(count=0, of=10).interval()
    assert found is not None
    assert (found.low, found.high) == pytest.approx((0.0, 1 - 0.05**0.1))


@given(share=shares)
def test_wilsons_interval_is_that_of_statsmodels(share: Share) -> None:
    low, high = proportion_confint(share.count, share.of, alpha=0.10, method="wilson")
    found = wilson(share)
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-9)


@given(one=shares, other=shares)
def test_the_difference_is_that_of_statsmodels(one: Share, other: Share) -> None:
    """statsmodels 0.14, confint_proportions_2indep(method="newcomb")."""
    low, high = confint_proportions_2indep(
        one.count, one.of, other.count, other.of, method="newcomb", alpha=0.10
    )
    found = difference(one, other)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-9)


# Newcombe, Statistics in Medicine 17 (1998) 873-890, Table II, case (a): 56/70 and 48/80, method
# 10: 0.0524 to 0.3339; from memory.
def test_the_difference_is_that_of_newcombes_first_case() -> None:
    found = difference(Share(count=56, of=70), Share(count=48, of=80), level=0.95)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((0.0524, 0.3339), abs=1e-4)


def test_a_share_of_nothing_is_not_known() -> None:
    nothing = Share(count=0, of=0)
    assert (nothing.value, nothing.interval(), nothing.says_something) == (None, None, False)
    assert difference(nothing, Share(count=1, of=2)) is None


@pytest.mark.parametrize(
    ("count", "of", "says"),
    [(3, 5, False), (1, 1, False), (0, 5, True), (12, 24, True), (6, 12, False)],
)
def test_few_eggs_say_too_little(count: int, of: int, says: bool) -> None:
    assert Share(count=count, of=of).says_something is says


def test_more_than_all_is_refused() -> None:
    with pytest.raises(ValueError, match="3 of 2"):
        Share(count=3, of=2)
