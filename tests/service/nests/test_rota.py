"""The step of a rota follows from the date alone."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.duty import RotaStep
from service.nests.rota import rota_on
from tests.service.nests.duties_at_hand import days

# Two days plain, two days with supplement: common practice, no source.
WATER = (RotaStep(words="plain water", days=2), RotaStep(words="with supplement", days=2))
FIRST = date(2026, 3, 28)

steps = st.lists(
    st.builds(RotaStep, words=st.sampled_from("abcd"), days=st.integers(1, 30)),
    min_size=1,
    max_size=5,
)


def test_water_is_plain_for_two_days_and_with_supplement_for_two_over_a_change_of_clocks() -> None:
    found = [rota_on(WATER, FIRST, FIRST + timedelta(days=n)).step.words for n in range(6)]
    assert found == ["plain water"] * 2 + ["with supplement"] * 2 + ["plain water"] * 2


def test_the_days_of_a_step_are_counted() -> None:
    assert [rota_on(WATER, FIRST, FIRST + timedelta(days=n)).nth for n in range(5)] == [
        1,
        2,
        1,
        2,
        1,
    ]


@given(steps, days(), st.integers(0, 3000))
def test_any_rota_is_its_days_laid_out_one_after_the_other(
    rota: list[RotaStep], first: date, later: int
) -> None:
    laid_out = [(step, nth) for step in rota for nth in range(1, step.days + 1)]
    found = rota_on(rota, first, first + timedelta(days=later))
    assert (found.step, found.nth) == laid_out[later % len(laid_out)]


@given(steps, days(), days(), st.integers(0, 40))
def test_a_gap_of_whole_rotas_changes_nothing(
    rota: list[RotaStep], first: date, day: date, rounds: int
) -> None:
    length = sum(step.days for step in rota)
    gap = timedelta(days=min(rounds * length, 3000) // length * length)
    assert rota_on(rota, first, day) == rota_on(rota, first, day + gap)


@pytest.mark.parametrize("rota", [(), (RotaStep(words="never", days=0),)])
def test_a_rota_without_days_is_refused(rota: tuple[RotaStep, ...]) -> None:
    with pytest.raises(ValueError, match="at least one"):
        rota_on(rota, FIRST, FIRST)
