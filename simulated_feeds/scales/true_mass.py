"""What truly rests on a scale: what lies in the box, who is in it, and the keeper's hand.

An egg is no step when it is laid: what the box gains, the hen that sits in it loses. It shows
when she leaves. Moisture is that of the air in the box, or of the shed where the box has none
of its own.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from simulated_feeds.chance import draws
from simulated_feeds.day import (
    DAY,
    MINUTE,
    MINUTES,
    AirDay,
    Event,
    Kind,
    Minutes,
    NestDay,
    Stay,
    Who,
)
from simulated_feeds.lag import recursion, steps_followed
from simulated_feeds.moist_air import humidity_pct
from simulated_feeds.scales.parameters import ScaleParameters

_DAY_S = 86_400.0
_HAND_S = 2.0
_MOST_BREATHED = 0.05
_USUAL_HUMIDITY_PCT = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MassDay:
    """The load at each sample [g, the box itself not counted].

    ``occupied`` tells where a bird stirs in the box.
    """

    grams: Minutes
    occupied: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sit:
    """A bird's mass when it came [g], when that was, in seconds of the day, and what changed."""

    came_g: float
    begun_s: float
    changed_g: float = 0.0


class TrueMass:
    """The load on one box's scale, day after day."""

    def __init__(self, parameters: ScaleParameters, box: str, seed: int) -> None:
        self._parameters = parameters
        self._box = box
        self._seed = seed
        self._moisture_g: float | None = None
        self._staying: dict[Who, _Sit] = {}

    def day(self, air: AirDay, nest: NestDay | None, at_s: Minutes) -> MassDay:
        """The load at some instants of a day.

        Args:
            air: of the day.
            nest: of the box; None where nobody breeds in it.
            at_s: instants in seconds since the day's beginning, in order.
        """
        minute = (at_s // 60.0).astype(np.int64)
        grams = self._moisture(air)[minute]
        occupied = np.zeros(len(at_s), dtype=np.bool_)
        if nest is None:
            self._staying = {}
            return MassDay(grams=grams, occupied=occupied)
        lying = nest.bedding_g + nest.eggs_g + nest.brood_g + nest.droppings_g
        grams = grams + lying[minute]
        chance = draws(self._seed, f"{self._box} visits", nest.at)
        staying: dict[Who, _Sit] = {}
        for stay in sorted(nest.stays, key=lambda one: (one.since, one.who)):
            first, last = _span(nest.at, stay.since, stay.until, at_s)
            bird = self._bird(nest, stay, at_s[first:last], chance, staying)
            grams[first:last] += bird
            occupied[first:last] = True
        self._staying = staying
        self._shake(nest, at_s, grams)
        return MassDay(grams=grams, occupied=occupied)

    def _moisture(self, air: AirDay) -> Minutes:
        """How much heavier by damp than at the usual humidity [g]."""
        own = air.boxes.get(self._box)
        temperature = air.temperature_c if own is None else own.temperature_c
        vapour = air.vapour_pa if own is None else own.vapour_pa
        aim = self._parameters.moisture_g_per_pct * (
            humidity_pct(temperature, vapour) - _USUAL_HUMIDITY_PCT
        )
        before = float(aim[0]) if self._moisture_g is None else self._moisture_g
        found = steps_followed(aim, 60.0, 3600.0 * self._parameters.moisture_lag_h, before)
        self._moisture_g = float(found[-1])
        return found

    def _bird(
        self,
        nest: NestDay,
        stay: Stay,
        at_s: Minutes,
        chance: Generator,
        staying: dict[Who, _Sit],
    ) -> Minutes:
        """A bird's mass at the instants of a stay; notes it where it lasts over midnight."""
        spread = self._parameters.visit_spread_g * chance.standard_normal()
        fed = self._parameters.fed_g * (0.5 + chance.random())
        own = nest.hen_g if stay.who is Who.HEN else nest.cock_g
        sit = _Sit(came_g=own + spread, begun_s=(stay.since - nest.at).total_seconds())
        if stay.since == nest.at:
            sit = self._staying.get(stay.who, sit)
        changes = _changes(nest, stay, fed)
        if stay.until == nest.at + DAY:
            changed = sit.changed_g + sum(grams for _, grams in changes)
            staying[stay.who] = _Sit(
                came_g=sit.came_g, begun_s=sit.begun_s - _DAY_S, changed_g=changed
            )
        breathed = self._parameters.breath_g_per_h * (at_s - sit.begun_s) / 3600.0
        lightest = (1.0 - _MOST_BREATHED) * sit.came_g
        grams = np.maximum(sit.came_g - breathed, lightest) + sit.changed_g
        for when_s, change in changes:
            grams[np.searchsorted(at_s, when_s) :] += change
        return grams

    def _shake(self, nest: NestDay, at_s: Minutes, grams: Minutes) -> None:
        """The lid is off and a hand is in the box."""
        for number, handling in enumerate(nest.handled):
            first, last = _span(nest.at, handling.since, handling.until, at_s)
            if last - first < 1:
                continue
            chance = draws(self._seed, f"{self._box} hand {number}", nest.at)
            step_s = float(at_s[1] - at_s[0]) if len(at_s) > 1 else 60.0
            keeps = float(np.exp(-step_s / _HAND_S))
            pushed = (1.0 - keeps**2) ** 0.5 * chance.standard_normal(last - first)
            grams[first:last] += self._parameters.hand_g * recursion(pushed, keeps, 0.0)
            grams[first:last] -= self._parameters.lid_g


def _changes(nest: NestDay, stay: Stay, fed_g: float) -> list[tuple[float, float]]:
    """When a sitting hen gets lighter by an egg or heavier by being fed: seconds and grams."""
    if stay.who is not Who.HEN:
        return []
    laid = [
        (60.0 * minute_after(nest.at, event.at), -event.grams)
        for event in nest.events
        if _is_laid_in(event, stay)
    ]
    fed = [
        ((other.until - nest.at).total_seconds(), fed_g)
        for other in nest.stays
        if other.who is Who.COCK and stay.since < other.until < stay.until
    ]
    return laid + fed


def _is_laid_in(event: Event, stay: Stay) -> bool:
    return event.kind is Kind.EGG_LAID and stay.since <= event.at < stay.until


def minute_after(beginning: datetime, at: datetime) -> int:
    """The first whole minute of a day that is not before an instant: there arrays change."""
    return min(-((beginning - at) // MINUTE), MINUTES)


def _span(beginning: datetime, since: datetime, until: datetime, at_s: Minutes) -> tuple[int, int]:
    """Which instants lie in ``since <= t < until``: from the first to before the last."""
    edges = [(one - beginning).total_seconds() for one in (since, until)]
    first, last = np.searchsorted(at_s, edges)
    return int(first), int(last)
