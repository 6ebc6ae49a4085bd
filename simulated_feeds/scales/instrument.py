"""From grams to counts of a 24-bit converter, with all that is wrong about a cheap scale.

    counts = whole number of (tare + counts per g * (load, gain, creep, drift, noise))

Some samples are no weights: a converter whose clock comes late gives 2**n - 1, such as
8388607, or 0 (reported by users of such converters, for 1 to 5 % of samples).
"""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.chance import draws
from simulated_feeds.day import Handling, Minutes
from simulated_feeds.lag import Follower, steps_followed
from simulated_feeds.scales.parameters import LEAST_COUNT, MOST_COUNT, ScaleParameters

Counts = NDArray[np.int64]

GLITCHES: Counts = np.array([0, *(2**n - 1 for n in range(18, 24))], dtype=np.int64)
"""What a sample reads that is no weight: 2**n - 1."""

_USUAL_C = 20.0
_LARGEST_TARE_COUNTS = 100_000


class Instrument:
    """One scale, day after day. ``name`` tells its chance from that of others."""

    def __init__(self, parameters: ScaleParameters, name: str, seed: int) -> None:
        self._parameters = parameters
        self._name = name
        self._seed = seed
        once = draws(seed, f"{name} cell")
        self._gain = 1.0 + parameters.gain_error_share * (2.0 * once.random() - 1.0)
        unloaded = _LARGEST_TARE_COUNTS * (2.0 * once.random() - 1.0)
        self._tare = unloaded + parameters.counts_per_g * parameters.box_g
        self._cell = Follower(60.0 * parameters.cell_lag_min)
        self._crept: float | None = None
        self._zeroed_g = 0.0

    @property
    def gain(self) -> float:
        """What a true gram reads."""
        return self._gain

    def counts(
        self,
        at: datetime,
        at_s: Minutes,
        load_g: Minutes,
        around_c: Minutes,
        *,
        stirred: NDArray[np.bool_] | None = None,
        glitch_share: Minutes | float | None = None,
    ) -> Counts:
        """What the converter gives at each sample of a day.

        Args:
            at: the beginning of the day [UTC].
            at_s: the samples in seconds since then, evenly apart.
            load_g: on the scale at each sample, the box itself not counted.
            around_c: the air around the cell, one value a minute [°C].
            stirred: where a bird moves on it.
            glitch_share: of each sample; None is the usual share.
        """
        is_ = self._parameters
        chance = draws(self._seed, f"{self._name} noise", at)
        noise = is_.noise_g * chance.standard_normal(len(at_s))
        if stirred is not None:
            noise += is_.stir_g * stirred * chance.standard_normal(len(at_s))
        warmer = self._cell.day(around_c, at_s) - _USUAL_C
        seen_g = load_g + self._creep(at_s, load_g) + is_.drift_g_per_10k * warmer / 10.0 + noise
        exact = self._tare + is_.counts_per_g * self._gain * seen_g
        found = np.clip(np.rint(exact), LEAST_COUNT, MOST_COUNT).astype(np.int64)
        share = is_.glitch_share if glitch_share is None else glitch_share
        chance = draws(self._seed, f"{self._name} glitches", at)
        struck = chance.random(len(at_s)) < share
        found[struck] = chance.choice(GLITCHES, int(struck.sum()))
        return found

    def grams(
        self, at: datetime, at_s: Minutes, counts: Counts, handled: Sequence[Handling] = ()
    ) -> Minutes:
        """What the device tells: counts over its scale factor, less what it was set to zero at.

        It knows neither its gain's error nor a glitch from a weight.
        """
        scale = self._parameters.counts_per_g
        found: Minutes = (counts.astype(np.float64) - self._tare) / scale - self._zeroed_g
        chance = draws(self._seed, f"{self._name} zero", at)
        for handling in handled:
            if chance.random() >= self._parameters.retare_share:
                continue
            after = int(np.searchsorted(at_s, (handling.until - at).total_seconds()))
            if after < len(found):
                # A keeper sets a quiet scale to zero: the middle one of some samples.
                shown = float(np.median(found[after : after + 5]))
                found[after:] -= shown
                self._zeroed_g += shown
        return found

    def _creep(self, at_s: Minutes, load_g: Minutes) -> Minutes:
        step_s = float(at_s[1] - at_s[0]) if len(at_s) > 1 else 60.0
        before = float(load_g[0]) if self._crept is None else self._crept
        crept = steps_followed(load_g, step_s, 60.0 * self._parameters.creep_min, before)
        self._crept = float(crept[-1])
        return self._parameters.creep_share * crept
