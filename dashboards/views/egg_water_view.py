"""The water that a box's eggs lost, in words. An exposure: nothing here warns. Pure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from dashboards.views.local_words import count, day_word, local_day
from service.answers.egg_losses import LossOfEgg
from service.climate.egg_water import LEAST_COVERAGE, USUAL_LOSS, Loss
from service.climate.egg_weighed import EggLoss


@dataclass(frozen=True, slots=True, kw_only=True)
class EggWaterRow:
    """One egg: what it lost so far, what it comes to by hatching, and what that rests on."""

    egg: str
    so_far: str
    by_hatching: str
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EggWaterView:
    """``usual`` is the published share; ``reckoned`` where a row comes from the air."""

    rows: tuple[EggWaterRow, ...]
    usual: str
    reckoned: bool


def egg_water_view(losses: Sequence[LossOfEgg], zone: ZoneInfo) -> EggWaterView | None:
    """None where nothing tells of any egg."""
    if not losses:
        return None
    low, high = (f"{100 * one:.1f}" for one in USUAL_LOSS)
    return EggWaterView(
        rows=tuple(_row(one, zone) for one in losses),
        usual=f"{low} to {high} %",
        reckoned=any(one.lost.weighed is None and one.lost.loss is not None for one in losses),
    )


def _row(one: LossOfEgg, zone: ZoneInfo) -> EggWaterRow:
    name = f"{one.number}" if one.home is None else f"{one.number} of {one.home}"
    return EggWaterRow(
        egg=name,
        so_far=_so_far(one),
        by_hatching=_by_hatching(one),
        rests_on=_rests_on(one.lost, zone),
    )


def _so_far(one: LossOfEgg) -> str:
    if one.lost.loss is None:
        return "cannot tell"
    days = count(math.floor(one.days), "day")
    if one.overdue:
        return f"{share(one.lost.loss)} in {days}, to the last day that it was to hatch"
    return f"{share(one.lost.loss)} in {days}{', all of its time' if one.over else ''}"


def _by_hatching(one: LossOfEgg) -> str:
    if one.overdue:
        return "overdue: nobody told what became of it"
    if one.over:
        return "no more to come"
    if one.by_hatching is None:
        return "cannot tell" if one.lost.loss is None else "too early to tell"
    return share(one.by_hatching)


def share(loss: Loss) -> str:
    """``8 to 13 %``: whole per cents, outwards."""
    low, high = math.floor(100 * loss.low), math.ceil(100 * loss.high)
    return f"{low} to {high} %"


def _rests_on(lost: EggLoss, zone: ZoneInfo) -> str:
    parts = []
    if lost.between is not None:
        first, last = lost.between
        days = " and ".join(day_word(local_day(one.at, zone)) for one in (first, last))
        parts.append(f"weighed {first.mass_g:g} g and {last.mass_g:g} g on {days}")
    heard = f"known for {math.floor(100 * lost.coverage)} % of the time"
    if lost.loss is None:
        least = f"less than {100 * LEAST_COVERAGE:.0f} % of a part of it was measured"
        parts.append(f"{heard}; {least}")
    else:
        parts.append(heard)
    if lost.doubt:
        parts.append(f"weighings not used: {lost.doubt}")
    return "; ".join(parts)
