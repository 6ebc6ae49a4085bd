"""What became of the birds, as rows of the truth. Pure."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from simulated_feeds.birds.conditions import OUTCOME_CONDITIONS, Condition
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.truth import ChickTruth, ClutchTruth, EggTruth
from simulated_feeds.day import DAY
from simulated_feeds.records.air_rows import told_time
from simulated_feeds.records.truth import ChickTold, ClutchTold, EggTold, MoveTold, PlantedEffect


def bird_lists(
    clutches: Sequence[ClutchTruth], parameters: BirdParameters, until: datetime
) -> Mapping[str, Iterable[Mapping[str, Any]]]:
    """The lists ``planted``, ``clutches``, ``eggs`` and ``chicks``, as it is at ``until`` [UTC].

    What happens later on the last day that was lived is left out.
    """
    eggs = [(clutch, egg) for clutch in clutches for egg in clutch.eggs if egg.laid_at <= until]
    return {
        "planted": list(_planted(parameters)),
        "clutches": [_clutch(clutch, until) for clutch in clutches if clutch.entered_at <= until],
        "eggs": [_egg(clutch, egg, until) for clutch, egg in eggs],
        "chicks": [
            _chick(egg, egg.chick, until)
            for _, egg in eggs
            if egg.chick is not None and egg.chick.hatched_at <= until
        ],
    }


def _planted(parameters: BirdParameters) -> Iterator[PlantedEffect]:
    """Every condition that may matter, with a zero where nothing is planted."""
    for outcome, conditions in OUTCOME_CONDITIONS.items():
        effects = parameters.effects.of(outcome)
        for condition in conditions:
            reference = parameters.references[condition]
            yield PlantedEffect(
                outcome=outcome.value,
                condition=condition.value,
                log_odds_per_sd=effects.get(condition, 0.0),
                mean=reference.mean,
                sd=reference.sd,
            )


def _clutch(clutch: ClutchTruth, until: datetime) -> ClutchTold:
    return ClutchTold(
        clutch=clutch.name,
        box=clutch.box,
        cage=clutch.cage,
        cock=clutch.cock,
        hen=clutch.hen,
        round=clutch.round,
        entered_at=told_time(clutch.entered_at),
        sitting_from=_by(until, clutch.sitting_from),
        bedding_left_g=round(clutch.bedding_left_g, 1),
        cleared=clutch.cleared,
        hen_effect=round(clutch.hen_effect, 4),
        cock_effect=round(clutch.cock_effect, 4),
        clutch_effect=round(clutch.clutch_effect, 4),
        over_at=_by(until, clutch.over_at),
    )


def _egg(clutch: ClutchTruth, egg: EggTruth, until: datetime) -> EggTold:
    return EggTold(
        egg=egg.name,
        clutch=clutch.name,
        number=egg.number,
        laid_at=told_time(egg.laid_at),
        length_mm=round(egg.length_mm, 2),
        breadth_mm=round(egg.breadth_mm, 2),
        fresh_g=round(egg.fresh_g, 4),
        mass_g=round(egg.mass_g, 4),
        fertile=egg.fertile,
        fertile_chance=round(egg.fertile_chance, 4),
        grew_from=_by(until, egg.grew_from),
        fate=egg.fate if _by(until, egg.ended_at, egg.died_at) else None,
        died_at=_by(until, egg.died_at),
        ended_at=_by(until, egg.ended_at),
        moves=[
            MoveTold(at=told_time(move.at), from_box=move.from_box, to_box=move.to_box)
            for move in egg.moves
            if move.at <= until
        ],
        conditions=_conditions(egg.conditions),
        chance=round(egg.chance, 4),
    )


def _chick(egg: EggTruth, chick: ChickTruth, until: datetime) -> ChickTold:
    grown_days = (until - chick.hatched_at) / DAY
    return ChickTold(
        egg=egg.name,
        hatched_at=told_time(chick.hatched_at),
        rank=chick.rank,
        ring=chick.ring,
        fate=chick.fate if _by(until, chick.died_at, chick.left_at) else None,
        died_at=_by(until, chick.died_at),
        left_at=_by(until, chick.left_at),
        weaned_at=_by(until, chick.weaned_at),
        early=chick.early,
        conditions=_conditions(chick.conditions),
        chance=round(chick.chance, 4),
        masses=[
            (round(age, 3), round(grams, 3)) for age, grams in chick.masses if age <= grown_days
        ],
    )


def _conditions(lived: Mapping[Condition, float]) -> dict[str, float]:
    return {
        condition.value: round(value, 4)
        for condition, value in sorted(lived.items())
        if math.isfinite(value)
    }


def _by(until: datetime, *instants: datetime | None) -> str | None:
    """The first of some instants that has come by then, as text."""
    return next((told_time(at) for at in instants if at is not None and at <= until), None)
