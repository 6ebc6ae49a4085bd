"""What the air of a day did to eggs and chicks; what comes of it is known from the next day on."""

import math
from collections.abc import Mapping

from numpy.random import Generator

from simulated_feeds.birds.conditions import (
    REARING_DAYS,
    WINDOW_DAYS,
    Condition,
    Lived,
    Outcome,
)
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.states import DAY_S, ChickState, EggState, NestState
from simulated_feeds.birds.survival import chance_of, chick_risk, embryo_risk, logit, moved_by

# Before this progress the water that an egg will have lost can't be told from what it has.
_WATER_TOLD_FROM = 0.2


def egg_conditions(egg: EggState) -> dict[Condition, float]:
    """What an egg has lived through so far; water as it will be at hatching if it goes on so."""
    lost = 1 - egg.mass_g / egg.fresh_g
    told = egg.progress >= _WATER_TOLD_FROM
    found = {
        Condition.NIGHT_LOW_SITTING: egg.first_six.night_low_c,
        Condition.DAMP_HOURS_SITTING: egg.sat_on.damp_h_a_day,
        Condition.WATER_LOSS: lost / egg.progress if told else math.nan,
        Condition.CHILLED_HOURS: egg.chilled_s / 3600 if egg.sat_on.days else math.nan,
    }
    return {what: value for what, value in found.items() if not math.isnan(value)}


def chick_conditions(chick: ChickState) -> dict[Condition, float]:
    """What a chick has lived through in its first fourteen days, so far."""
    found = {
        Condition.NIGHT_LOW_REARING: chick.rearing.night_low_c,
        Condition.COLD_HOURS_REARING: chick.rearing.cold_h_a_day,
        Condition.DAMP_HOURS_REARING: chick.rearing.damp_h_a_day,
    }
    return {what: value for what, value in found.items() if not math.isnan(value)}


def final_risk(egg: EggState, nest: NestState, parameters: BirdParameters) -> float:
    """That an embryo is dead when it should hatch."""
    log_odds = _log_odds(Outcome.HATCHED, nest, egg_conditions(egg), parameters)
    egg.chance = chance_of(log_odds)
    return embryo_risk(1.0, log_odds)


def end_the_day(
    nest: NestState, lived: Lived, end_s: int, parameters: BirdParameters, chance: Generator
) -> None:
    """Put the day to every egg and chick of a nest, and let die what must."""
    for egg in nest.eggs:
        _egg(egg, nest, lived, end_s, parameters)
    for egg in nest.chicks:
        if egg.chick is not None and egg.chick.died_s is None:
            risk = _chick_risk(egg.chick, nest, lived, end_s, parameters)
            if egg.chick.threshold < risk:
                egg.chick.dies_s = end_s + int(chance.uniform(0, DAY_S))
    nest.light_h, nest.day_c = lived.light_h, lived.day_c
    nest.last_days = [*nest.last_days, lived][-WINDOW_DAYS:]


def _egg(
    egg: EggState, nest: NestState, lived: Lived, end_s: int, parameters: BirdParameters
) -> None:
    if egg.grew_s is None or end_s - egg.grew_s < DAY_S / 2:
        return
    if egg.died_s is None:
        egg.sat_on.add(lived)
        if egg.first_six.days < WINDOW_DAYS:
            egg.first_six.add(lived)
    if not egg.lives:
        return
    log_odds = _log_odds(Outcome.HATCHED, nest, egg_conditions(egg), parameters)
    egg.chance = chance_of(log_odds)
    if egg.threshold < embryo_risk(egg.progress, log_odds):
        egg.died_s = end_s


def _chick_risk(
    chick: ChickState, nest: NestState, lived: Lived, end_s: int, parameters: BirdParameters
) -> float:
    """That it is dead by now; 0 where the time of dying young is over."""
    age = (end_s - chick.hatched_s) / DAY_S
    chick.masses.append((round(age, 4), round(chick.mass_at(end_s), 3)))
    if chick.rearing.days < REARING_DAYS:
        chick.rearing.add(lived)
    log_odds = _log_odds(Outcome.FLEDGED, nest, chick_conditions(chick), parameters)
    chick.chance = chance_of(log_odds)
    return chick_risk(age, log_odds) if age <= REARING_DAYS + 1 else 0.0


def _log_odds(
    outcome: Outcome,
    nest: NestState,
    lived: Mapping[Condition, float],
    parameters: BirdParameters,
) -> float:
    """Of an egg or chick in this nest: where it lies counts, not where it was laid."""
    survival = parameters.survival
    usual = survival.hatched if outcome is Outcome.HATCHED else survival.fledged
    hen = 0.0 if nest.pair is None else nest.pair.hen_effect
    clutch = 0.0 if nest.clutch is None else nest.clutch.effect
    moved = moved_by(parameters.effects.of(outcome), parameters.references, lived)
    return logit(usual) + hen + clutch + moved
