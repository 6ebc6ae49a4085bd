"""What is in one box, and how it changes, within one day; made into minute arrays at its end.

A thing that comes or goes between two minutes counts from the next full minute on.
"""

from dataclasses import dataclass, field

import numpy as np

from simulated_feeds.birds.growth import DAY_S
from simulated_feeds.birds.intervals import Intervals
from simulated_feeds.birds.states import ChickState, EggState, instant
from simulated_feeds.birds.water import minute
from simulated_feeds.day import MINUTES, Event, Handling, Kind, Minutes

_GRID = np.arange(MINUTES, dtype=float)
# So heavy a brood keeps itself warm: model.
_WARM_BROOD_G = 150.0


@dataclass(slots=True)
class Ledger:
    """``begin_s`` and ``end_s`` are the day's. Bedding and droppings step, eggs and chicks stay."""

    box: str
    begin_s: int
    end_s: int
    bedding_g: float = 0.0
    droppings_g: float = 0.0
    events: list[Event] = field(default_factory=list)
    handled: list[Handling] = field(default_factory=list)
    bedding_steps: list[tuple[int, float]] = field(default_factory=list)
    cleaned: list[int] = field(default_factory=list)
    eggs: dict[EggState, tuple[int, int]] = field(default_factory=dict)
    chicks: dict[EggState, tuple[int, int]] = field(default_factory=dict)

    def note(
        self, at_s: int, kind: Kind, egg: EggState | None = None, grams: float = 0.0, why: str = ""
    ) -> None:
        """An event."""
        name = None if egg is None else egg.name
        self.events.append(
            Event(at=instant(at_s), kind=kind, box=self.box, egg=name, grams=grams, why=why)
        )

    def bedding(self, at_s: int, grams: float) -> None:
        """Bedding comes in (positive) or goes out."""
        if grams:
            self.bedding_steps.append((at_s, grams))
            self.note(at_s, Kind.BEDDING_IN if grams > 0 else Kind.BEDDING_OUT, grams=grams)

    def shell(self, at_s: int, grams: float) -> None:
        """What is left of an egg on the floor when its chick is out: no bedding was moved."""
        self.bedding_steps.append((at_s, grams))

    def comes(self, at_s: int, egg: EggState) -> None:
        """An egg lies there from an instant on."""
        self.eggs[egg] = (at_s, self.end_s)

    def goes(self, at_s: int, egg: EggState) -> None:
        """It lies there no more."""
        self.eggs[egg] = (self.eggs[egg][0], at_s)

    def chick_comes(self, at_s: int, egg: EggState) -> None:
        """A chick sits there from an instant on."""
        self.chicks[egg] = (at_s, self.end_s)

    def chick_goes(self, at_s: int, egg: EggState) -> None:
        """It sits there no more."""
        self.chicks[egg] = (self.chicks[egg][0], at_s)

    def bedding_minutes(self) -> Minutes:
        """What lies on the floor [g]."""
        found = np.full(MINUTES, self.bedding_g)
        for at_s, grams in self.bedding_steps:
            found[minute(at_s, self.begin_s) :] += grams
        return found

    def egg_minutes(self, dryness: Minutes) -> Minutes:
        """All eggs there [g]; ``dryness`` is what has drawn at them since the day began."""
        found = np.zeros(MINUTES)
        for egg, (since_s, until_s) in self.eggs.items():
            since, until = minute(since_s, self.begin_s), minute(until_s, self.begin_s)
            if since < until:
                lost = egg.conductance * (dryness[since:until] - dryness[since])
                found[since:until] += egg.mass_g - lost
        return found

    def brood_minutes(self) -> Minutes:
        """All chicks there [g], dead ones too."""
        found = np.zeros(MINUTES)
        for egg, (since_s, until_s) in self.chicks.items():
            assert egg.chick is not None  # noqa: S101 - it sits there
            since, until = minute(since_s, self.begin_s), minute(until_s, self.begin_s)
            if since < until:
                found[since:until] += _masses(egg.chick, self.begin_s, since, until)
        return found

    def droppings_minutes(
        self, brood: Minutes, share_a_day: float, *, cleaned: bool = True
    ) -> Minutes:
        """The chicks' droppings [g], as heavy as the brood makes them, less what is cleaned."""
        found: Minutes = self.droppings_g + np.cumsum(brood) * (share_a_day / 1440)
        for at_s in self.cleaned if cleaned else ():
            at = minute(at_s, self.begin_s)
            if at < MINUTES:
                found[at:] -= found[at - 1] if at else self.droppings_g
        return found

    def warm_minutes(self, nesting: Intervals, warming: Intervals, brood: Minutes) -> Minutes:
        """How much the nest is warmed from within, 0 to 1."""
        found = np.minimum(brood / _WARM_BROOD_G, 0.9)
        for stretches, share in ((nesting, 0.5), (warming, 1.0)):
            for since_s, until_s in stretches:
                part = slice(minute(since_s, self.begin_s), minute(until_s, self.begin_s))
                np.maximum(found[part], share, out=found[part])
        return found


def _masses(chick: ChickState, begin_s: int, since: int, until: int) -> Minutes:
    ages = (_GRID[since:until] * 60 + (begin_s - chick.hatched_s)) / DAY_S
    if chick.died_s is not None:
        ages = np.minimum(ages, (chick.died_s - chick.hatched_s) / DAY_S)
    return chick.curve.mass_g(np.maximum(ages, 0.0))
