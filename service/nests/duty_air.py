"""What a duty that waits for a warm day, or for food to sour, asks of the air. Pure."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from service.climate.food_clock import Keeping


class Warmth(StrEnum):
    """Whether it has been warmer than asked, or too warm for the food. Missing data never means
    that it was not.
    """

    OVER = "over"
    NOT_OVER = "not over"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class AirTold:
    """``words`` are part of a sentence: "29.3° at 13:10 in Hazel shed", "no thermometer ..."."""

    warmth: Warmth
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoodOut:
    """Food stands out since ``put_out``; it is ``now``, and the next visit begins at ``until``
    (all UTC, in this order).
    """

    put_out: datetime
    now: datetime
    until: datetime


class DutyAir(Protocol):
    """The air of the places, as far as it was measured."""

    def warmth(self, place: str, over_c: float, since: datetime, until: datetime) -> AirTold:
        """Whether it was over ``over_c`` [°C] at a place, or in what it stands in, in that time."""
        ...

    def souring(self, place: str, keeping: Keeping, food: FoodOut) -> AirTold:
        """Whether food that stands at a place sours before somebody comes again."""
        ...


class NothingMeasured:
    """The air of a shed without a thermometer: nobody can tell."""

    def warmth(self, place: str, over_c: float, since: datetime, until: datetime) -> AirTold:  # noqa: ARG002
        return AirTold(warmth=Warmth.CANNOT_TELL, words="no thermometer tells of this place")

    def souring(self, place: str, keeping: Keeping, food: FoodOut) -> AirTold:  # noqa: ARG002
        return AirTold(warmth=Warmth.CANNOT_TELL, words="no thermometer tells of this place")
