"""Planted effects: found again by an ordinary logistic regression, and none where none was put.

Hens, cocks and clutches do not differ here, so that eggs are independent of each other, as a plain
logistic regression takes them to be. Two seasons of 150 clutches, some seconds each: with fewer
an effect of half a standard deviation could not be told from none.
"""

from collections.abc import Sequence
from datetime import datetime
from functools import cache

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from simulated_feeds.birds.conditions import Condition, Outcome
from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.birds.parameters import (
    BirdParameters,
    Effects,
    Reference,
    Survival,
    usual_conditions,
)
from simulated_feeds.birds.truth import EggTruth
from simulated_feeds.day import AirDay
from simulated_feeds.keeper.book import book_of
from tests.simulated_feeds.birds.invented_air import varied_air
from tests.simulated_feeds.birds.lived_seasons import PUT_UP, Lived, live

BOXES = [f"box-{n}" for n in range(1, 151)]
WITHOUT_BIRDS_OWN = Survival(
    fertile=0.8, hatched=0.7, fledged=0.75, cock_sd=0, hen_sd=0, clutch_sd=0, egg_loss_a_day=0
)
PLANTED = Effects(
    fertile={Condition.NIGHT_LOW_LAYING: 0.7},
    hatched={Condition.NIGHT_LOW_SITTING: 0.8},
    fledged={Condition.NIGHT_LOW_REARING: -0.7},
)
OF = {
    Outcome.FERTILE: Condition.NIGHT_LOW_LAYING,
    Outcome.HATCHED: Condition.NIGHT_LOW_SITTING,
    Outcome.FLEDGED: Condition.NIGHT_LOW_REARING,
}


def air(at: datetime) -> AirDay:
    return varied_air(at, BOXES, seed=7)


@cache
def lived_with(effects: str) -> Lived:
    parameters = BirdParameters(
        survival=WITHOUT_BIRDS_OWN,
        effects=PLANTED if effects == "planted" else Effects(hatched={}),
    )
    pairs = pairs_for(BOXES, PUT_UP, seed=9, rounds=1, spread_days=4)
    return live(pairs, 60, parameters=parameters, seed=9, air=air)


def outcomes(effects: str, outcome: Outcome) -> tuple[list[float], list[bool]]:
    """The condition that each egg or chick lived through, and whether it went well.

    Of hatching what the keeper's book says of it; of the other two the truth: an egg that is
    not fertile looks like one that died early, and chicks have not left yet.
    """
    lived, fates, condition = lived_with(effects), fates_in_the_book(effects), OF[outcome]
    lows, well = [], []
    for egg in lived.eggs:
        if outcome is Outcome.FERTILE:
            lows.append(egg.conditions[condition])
            well.append(egg.fertile)
        elif outcome is Outcome.HATCHED:
            if egg.fertile and fates.get(egg.name) is not None:
                lows.append(egg.conditions[condition])
                well.append(fates[egg.name] == "hatched")
        elif egg.chick is not None and known(egg):
            lows.append(egg.chick.conditions[condition])
            well.append(egg.chick.fate != "died")
    return lows, well


def known(egg: EggTruth) -> bool:
    """Whether the chick is past the days in which chicks die, or died."""
    chick = egg.chick
    if chick is None or not chick.conditions:
        return False
    return chick.fate == "died" or chick.masses[-1][0] > 15


@cache
def fates_in_the_book(effects: str) -> dict[str, str | None]:
    lived = lived_with(effects)
    book = book_of(lived.looks, lived.pairs, lived.clutches, seed=9)
    rows = {row.egg: row.fate for row in book.eggs}
    return {name: rows[number] for name, number in book.egg_numbers}


def fitted(
    lows: Sequence[float], well: Sequence[bool], reference: Reference
) -> tuple[float, float]:
    """Log-odds per reference standard deviation, and its standard error."""
    x = sm.add_constant((np.array(lows) - reference.mean) / reference.sd)
    found = sm.GLM(np.array(well, dtype=float), x, family=sm.families.Binomial()).fit()
    return float(found.params[1]), float(found.bse[1])


@pytest.mark.parametrize("outcome", list(Outcome))
def test_a_planted_effect_is_found_again(outcome: Outcome) -> None:
    lows, well = outcomes("planted", outcome)
    assert len(well) > 250
    beta, se = fitted(lows, well, usual_conditions()[OF[outcome]])
    planted = PLANTED.of(outcome)[OF[outcome]]
    assert beta == pytest.approx(planted, abs=2.6 * se)
    assert abs(beta) > 3 * se


@pytest.mark.parametrize("outcome", list(Outcome))
def test_where_no_effect_was_planted_none_is_found(outcome: Outcome) -> None:
    lows, well = outcomes("none", outcome)
    beta, se = fitted(lows, well, usual_conditions()[OF[outcome]])
    assert abs(beta) < 2.6 * se
    assert se < 0.2


def test_without_effects_shares_are_those_of_the_parameters() -> None:
    for outcome, share in ((Outcome.FERTILE, 0.8), (Outcome.HATCHED, 0.7), (Outcome.FLEDGED, 0.75)):
        _, well = outcomes("none", outcome)
        assert np.mean(well) == pytest.approx(
            share, abs=3 * (share * (1 - share) / len(well)) ** 0.5
        )
