"""Which step of a rota a day has. Pure.

The step follows from the date alone: a day on which nobody came is a day of the rota like any
other, and after a gap it goes on where the calendar says.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.nests.duty import RotaStep


@dataclass(frozen=True, slots=True, kw_only=True)
class RotaDay:
    """``nth`` of the step's days, counted from 1."""

    step: RotaStep
    nth: int


def rota_on(rota: Sequence[RotaStep], first: date, day: date) -> RotaDay:
    """The step of ``day``; days before ``first`` have theirs too, as if it had always gone on.

    Raises:
        ValueError: a rota without a step, or one whose steps take no days.
    """
    length = sum(step.days for step in rota)
    if length <= 0:
        raise ValueError("a rota needs at least one step of at least one day")
    left = (day - first).days % length
    for step in rota:
        if left < step.days:
            return RotaDay(step=step, nth=left + 1)
        left -= step.days
    raise AssertionError("the rest is smaller than the sum")
