"""The aviary's states as truths that no longer change. Pure."""

from datetime import datetime

from simulated_feeds.birds.evening import chick_conditions, egg_conditions
from simulated_feeds.birds.parameters import Bedding
from simulated_feeds.birds.states import ChickState, ClutchState, EggState, instant
from simulated_feeds.birds.truth import ChickTruth, ClutchTruth, EggTruth, Moved


def clutch_truth(clutch: ClutchState, bedding: Bedding) -> ClutchTruth:
    """One clutch as it stands."""
    pair = clutch.pair
    return ClutchTruth(
        name=clutch.name,
        box=clutch.box,
        cage=pair.up.cage,
        cock=pair.up.cock.id,
        hen=pair.up.hen.id,
        round=clutch.round,
        entered_at=instant(clutch.entered_s),
        sitting_from=_at(clutch.sitting_s),
        bedding_left_g=clutch.bedding_left_g,
        cleared=clutch.bedding_left_g < (bedding.left_g + bedding.deep_g) / 2,
        hen_effect=pair.hen_effect,
        cock_effect=pair.cock_effect,
        clutch_effect=clutch.effect,
        over_at=_at(clutch.over_s),
        eggs=tuple(_egg(egg) for egg in clutch.eggs),
    )


def _egg(egg: EggState) -> EggTruth:
    fate = egg.fate
    return EggTruth(
        name=egg.name,
        number=egg.number,
        laid_at=instant(egg.laid_s),
        length_mm=egg.length_mm,
        breadth_mm=egg.breadth_mm,
        fresh_g=egg.fresh_g,
        mass_g=egg.mass_g,
        fertile=egg.fertile,
        fertile_chance=egg.fertile_chance,
        grew_from=_at(egg.grew_s),
        fate=fate,
        died_at=_at(egg.died_s),
        ended_at=_at(egg.ended_s),
        moves=tuple(
            Moved(at=instant(at_s), from_box=from_box, to_box=to_box)
            for at_s, from_box, to_box in egg.moves
        ),
        conditions=egg.laying_conditions | egg_conditions(egg),
        chance=egg.chance,
        chick=None if egg.chick is None else _chick(egg.chick),
    )


def _chick(chick: ChickState) -> ChickTruth:
    return ChickTruth(
        hatched_at=instant(chick.hatched_s),
        rank=chick.rank,
        ring=chick.ring,
        fate=_fate(chick),
        died_at=_at(chick.died_s),
        left_at=_at(chick.left_s),
        weaned_at=instant(chick.weaned_s) if chick.is_weaned else None,
        early=chick.early,
        hatch_g=chick.curve.hatch_g,
        peak_g=chick.curve.peak_g,
        masses=tuple(chick.masses),
        conditions=chick_conditions(chick),
        chance=chick.chance,
    )


def _fate(chick: ChickState) -> str | None:
    if chick.died_s is not None:
        return "died"
    if chick.is_weaned:
        return "weaned"
    return None if chick.left_s is None else "fledged"


def _at(seconds: int | None) -> datetime | None:
    return None if seconds is None else instant(seconds)
