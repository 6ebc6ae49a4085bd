"""How a new pair, clutch, egg and chick is drawn.

Each has a stream of chance of its own, by its name: what one egg is like does not depend on
how many were drawn before it.
"""

import math
from collections.abc import Mapping

import numpy as np
from numpy.random import Generator

from simulated_feeds.birds.conditions import Condition, Gathered, Outcome
from simulated_feeds.birds.growth import GrowthCurve
from simulated_feeds.birds.pair import PairUp
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.script import ScriptedEgg
from simulated_feeds.birds.states import (
    DAY_S,
    ChickState,
    ClutchState,
    EggState,
    NestState,
    PairState,
    seconds,
)
from simulated_feeds.birds.survival import chance_of, logit, moved_by
from simulated_feeds.birds.water import conductance_g_per_day_pa, fresh_mass_g
from simulated_feeds.chance import draws

# An embryo in this script's eggs never dies: below every risk there is.
_NEVER = 1.0


class Hatchery:
    """Draws by one seed."""

    def __init__(self, parameters: BirdParameters, seed: int) -> None:
        self._p = parameters
        self._seed = seed

    def pair(self, number: int, up: PairUp, put_up_s: int, ended_s: int | None) -> PairState:
        """The two birds. A bird is the same bird in each of its pairs."""
        masses, survival = self._p.masses, self._p.survival
        hen, cock = self._bird(up.hen.id), self._bird(up.cock.id)
        return PairState(
            number=number,
            up=up,
            put_up_s=put_up_s,
            ended_s=ended_s,
            hen_g=masses.hen_g + masses.hen_sd_g * hen[0],
            cock_g=masses.cock_share * (masses.hen_g + masses.hen_sd_g * cock[0]),
            hen_effect=survival.hen_sd * hen[1],
            cock_effect=survival.cock_sd * cock[1],
            lazy=bool(hen[2] < self._p.bedding.lazy_share) and up.script is None,
            script=up.script,
        )

    def _bird(self, bird_id: int) -> tuple[float, float, float]:
        chance = draws(self._seed, f"bird {bird_id}")
        return _bell(chance), float(chance.standard_normal()), float(chance.uniform())

    def first_egg_days(self, pair: PairState) -> float:
        """From her entry to the first egg, in full light [days]."""
        laying = self._p.laying
        chance = draws(self._seed, f"first egg {pair.number}.{pair.rounds + 1}")
        if pair.rounds:
            return laying.next_round_days + float(chance.uniform(0, 6))
        beyond = laying.median_days - laying.least_days
        most = laying.most_days - laying.least_days - 0.5
        return laying.least_days + min(most, beyond * float(np.exp(_bell(chance))))

    def clutch(self, nest: NestState, pair: PairState) -> ClutchState:
        """The next one of a pair."""
        pair.rounds += 1
        nest.clutches += 1
        name = f"{pair.number}.{pair.rounds}"
        chance = draws(self._seed, f"clutch {name}")
        script = pair.script if pair.rounds == 1 else None
        size = _one_of(chance, self._p.laying.sizes)
        sits_with = _one_of(chance, self._p.laying.sits_from_egg)
        if script is not None and script.eggs:
            least = len(script.eggs)
            size = least if script.is_whole else max(size, least + 1)
            sits_with = 2
        return ClutchState(
            name=name,
            box=nest.box,
            pair=pair,
            round=pair.rounds,
            entered_s=nest.entered_s or 0,
            size=size,
            sits_with=min(size, sits_with),
            effect=self._p.survival.clutch_sd * float(chance.standard_normal()),
            bedding_left_g=nest.bedding_g,
        )

    def egg(self, clutch: ClutchState, laid_s: int, before: Gathered) -> EggState:
        """The next one of a clutch; ``before`` are the days before it."""
        number = len(clutch.eggs) + 1
        name = f"{clutch.name}.{number}"
        chance = draws(self._seed, f"egg {name}")
        size, sitting = self._p.egg_size, self._p.sitting
        length = size.length_mm + size.length_sd_mm * _bell(chance)
        breadth = size.breadth_mm + size.breadth_sd_mm * _bell(chance)
        fresh = fresh_mass_g(length, breadth)
        shell = float(np.exp(self._p.water.shell_sd * _bell(chance)))
        needs = sitting.days + sitting.days_sd * float(chance.standard_normal())
        scripted = _scripted(clutch, number)
        lived = {
            Condition.NIGHT_LOW_LAYING: before.night_low_c,
            Condition.LIGHT_HOURS_LAYING: before.light_h_a_day,
        }
        fertile_chance = self.fertile_chance(clutch.pair, lived)
        fertile = float(chance.uniform()) < fertile_chance
        threshold = float(chance.uniform())
        if scripted is not None:
            fertile = scripted.lost is None or scripted.lost[1] == "broken"
            threshold, needs = _NEVER, max(needs, 17.7)
        return EggState(
            name=name,
            clutch=clutch,
            number=number,
            laid_s=laid_s,
            length_mm=length,
            breadth_mm=breadth,
            fresh_g=fresh,
            mass_g=fresh,
            conductance=conductance_g_per_day_pa(fresh) * shell,
            fertile=fertile,
            fertile_chance=fertile_chance,
            threshold=threshold,
            needs_s=min(max(needs, sitting.least_days), sitting.most_days) * DAY_S,
            scripted=scripted,
            laying_conditions={what: x for what, x in lived.items() if not math.isnan(x)},
        )

    def fertile_chance(self, pair: PairState, lived: dict[Condition, float]) -> float:
        """That the next egg of a pair is fertile."""
        moved = moved_by(self._p.effects.of(Outcome.FERTILE), self._p.references, lived)
        return chance_of(logit(self._p.survival.fertile) + pair.cock_effect + moved)

    def chick(self, egg: EggState, hatched_s: int, rank: int) -> ChickState:
        """Out of an egg; ``rank`` is 0 for the first of its brood."""
        chance = draws(self._seed, f"chick {egg.name}")
        growth, leaving = self._p.growth, self._p.leaving
        early = bool(chance.uniform() < leaving.early_share) and egg.scripted is None
        days = leaving.days + leaving.days_sd * float(chance.standard_normal())
        days = min(max(days, leaving.least_days), leaving.most_days)
        if early:
            days = leaving.early_days + float(chance.uniform(-1, 1))
        weaned = leaving.weaned_days + leaving.weaned_sd_days * _bell(chance)
        peak = (growth.peak_g + growth.peak_sd_g * _bell(chance)) * (1 + growth.later_share * rank)
        curve = GrowthCurve(
            hatch_g=growth.hatch_share * egg.fresh_g,
            peak_g=peak,
            rate_a_day=growth.rate_a_day + growth.rate_sd_a_day * _bell(chance),
            loss_share=max(0.0, growth.loss_share + growth.loss_sd * _bell(chance)),
            loss_from_days=growth.loss_from_days,
            leaves_days=days,
        )
        return ChickState(
            hatched_s=hatched_s,
            rank=rank,
            curve=curve,
            threshold=_NEVER if egg.scripted else float(chance.uniform()),
            leaves_s=hatched_s + int(days * DAY_S),
            weaned_s=hatched_s + int(max(weaned, days + 5) * DAY_S),
            early=early,
        )


def _scripted(clutch: ClutchState, number: int) -> ScriptedEgg | None:
    script = clutch.pair.script
    if script is None or clutch.round > 1 or number > len(script.eggs):
        return None
    return script.eggs[number - 1]


def next_lay_s(clutch: ClutchState, parameters: BirdParameters, seed: int) -> int | None:
    """When the egg after the last one is laid; None when the clutch is whole."""
    number = len(clutch.eggs) + 1
    if number > clutch.size:
        return None
    scripted = _scripted(clutch, number)
    if scripted is not None:
        return seconds(scripted.laid_at)
    laying = parameters.laying
    chance = draws(seed, f"interval {clutch.name}.{number}")
    hours = laying.interval_h + laying.interval_sd_h * _bell(chance)
    if chance.uniform() < laying.skip_share:
        hours += 24
    laid_s = clutch.eggs[-1].laid_s + int(hours * 3600)
    script = clutch.pair.script
    if script is None:
        return laid_s
    return max(laid_s, seconds(script.until) + int(chance.uniform(1, 6) * 3600))


def _bell(chance: Generator) -> float:
    """A normal draw, never beyond 2.2 standard deviations."""
    return float(np.clip(chance.standard_normal(), -2.2, 2.2))


def _one_of(chance: Generator, shares: Mapping[int, float]) -> int:
    numbers, weights = zip(*sorted(shares.items()), strict=True)
    return int(numbers[int(np.searchsorted(np.cumsum(weights), chance.uniform() * sum(weights)))])
