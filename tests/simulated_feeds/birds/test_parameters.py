"""What can't be is refused by name, with what is allowed."""

from collections.abc import Callable
from typing import Any

import pytest

from simulated_feeds.birds.conditions import Condition
from simulated_feeds.birds.parameters import (
    BirdParameters,
    Effects,
    Laying,
    Masses,
    Reference,
    Sitting,
    Survival,
    Water,
)
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.keeper.parameters import KeeperParameters


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Masses(hen_g=300), r"hen_g is 300; allowed is 25 to 70 g"),
        (lambda: Laying(interval_h=float("nan")), r"interval_h is nan; allowed is 24 to 96 h"),
        (lambda: Laying(median_days=30), r"median_days is 30; allowed is 8 to 22 days"),
        (lambda: Laying(sizes={5: 0.5}), r"sizes .* add up to 1"),
        (lambda: Laying(sizes={0: 1.0}), r"sizes .* numbers 1 to 12"),
        (lambda: Sitting(egg_c=60), r"egg_c is 60; allowed is 30 to 40 °C"),
        (lambda: Water(shell_sd=-0.1), r"shell_sd is -0.1; allowed is 0 to 0.5"),
        (lambda: Survival(hatched=1.0), r"hatched is 1.0; allowed is 0.02 to 0.99"),
        (lambda: Reference(mean=0, sd=0), r"sd is 0; allowed"),
        (
            lambda: Effects(hatched={Condition.NIGHT_LOW_REARING: 1.0}),
            r"^hatched is night low in rearing; allowed is night low in days 1 to 6",
        ),
        (
            lambda: Effects(fledged={Condition.NIGHT_LOW_REARING: 99}),
            r"night low in rearing is 99; allowed is -10 to 10 log-odds per SD",
        ),
        (lambda: BirdParameters(references={}), r"references .* one for each condition"),
        (lambda: KeeperParameters(misses=1.5), r"misses is 1.5; allowed is 0 to 0.9"),
        (lambda: KeeperParameters(most_eggs=40), r"most_eggs is 40; allowed is 0 to 12 eggs"),
    ],
)
def test_impossible_parameters_are_refused_in_words(make: Callable[[], Any], words: str) -> None:
    with pytest.raises(ImpossibleParameterError, match=words):
        make()


def test_what_is_preset_is_possible() -> None:
    parameters = BirdParameters()
    assert set(parameters.references) == set(Condition)
    assert sum(parameters.laying.sizes.values()) == pytest.approx(1)
