"""How heavy a chick is at an age. Pure.

A logistic curve through its mass at hatching, then a straight loss until it leaves the box.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

DAY_S = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthCurve:
    """One chick's. Ages in days from hatching; ``loss_share`` of the peak is lost in the end."""

    hatch_g: float
    peak_g: float
    rate_a_day: float
    loss_share: float
    loss_from_days: float
    leaves_days: float

    @property
    def turning_days(self) -> float:
        """The age of fastest growth, such that the curve begins at ``hatch_g``."""
        return math.log(self.peak_g / self.hatch_g - 1) / self.rate_a_day

    def mass_g(self, age_days: NDArray[np.float64]) -> NDArray[np.float64]:
        """Mass at each age [g]; ages from 0 on, after leaving as at leaving."""
        turning = self.turning_days
        full = self.peak_g / (1 + np.exp(-self.rate_a_day * (age_days - turning)))
        if age_days.size and age_days[-1] > self.loss_from_days:
            span = max(0.5, self.leaves_days - self.loss_from_days)
            part = np.clip((age_days - self.loss_from_days) / span, 0, 1)
            full = full * (1 - self.loss_share * part)
        return full

    def mass_at(self, age_days: float) -> float:
        """The same for one age."""
        return float(self.mass_g(np.array([age_days]))[0])
