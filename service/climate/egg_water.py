"""How much water an egg loses through its shell: an exposure, reckoned from the air of its box.

Vapour leaves through the pores, driven by the difference between the vapour pressure inside the
egg, saturated at the egg's temperature, and that of the air around it (Fick's law as in Ar and
Rahn's papers): loss = G (e_egg - e_box), with the shell's conductance G = 0.432 W^0.780 mg a day
and torr for a fresh mass of W g.

Sources: Ar, Paganelli, Reeves, Greene and Rahn 1974, Condor 76:153-158 (conductance; the
coefficients are from memory). Ar and Rahn 1980, Am. Zool. 20:373-384: eggs of 81 species lose
0.150 +- 0.025 of their mass. Hoyt 1979, Auk 96:73-77: W = 0.548 L B^2 (from memory).

What this can't know: the air under a hen is damper than the box's; and no budgerigar's conductance
was found in print. By Rahn and Ar 1974 (Condor 76:147-152; from memory) an egg of its mass takes
12.03 W^0.217 = 14 days, and a budgerigar's 18: if it too loses 0.15 in that time, its shell lets a
quarter less through. So the loss lies in the lower half of the range, or below it. Pure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.climate.moist_air import saturation_vapour_pressure_pa

PA_IN_A_TORR = 101_325 / 760

USUAL_LOSS = (0.125, 0.175)
"""0.150 less and more 0.025, one standard deviation between species: Ar and Rahn 1980."""

EGG_C = 36.0
"""Of a budgerigar's egg under its hen: from memory, no record of the species was found."""

EGG_SPREAD_K = 0.7
"""Standard deviation: eggs of most birds bear 36 to 39 °C for hours (Webb 1987, Condor 89)."""

FRESH_MASS_G = 2.055
"""By Hoyt of the 18.6 x 14.2 mm that are often quoted: common, origin not seen."""

MASS_SPREAD = 0.12
"""Relative standard deviation of fresh mass where nobody measured the egg; from memory."""

CONDUCTANCE_SPREAD = 0.20
"""Relative standard deviation of one egg's conductance about the line for its mass; from memory:
eggs of one species differ by about a fifth, and a species may lie as far from the line."""

UNMEASURED_SPREAD = 0.20
"""Of hours that nobody measured, taken to be like those that somebody did."""

LEAST_COVERAGE = 0.5
"""Where less than half of the time was measured nothing is told."""

TEN_TO_NINETY = 1.2816
"""From a standard deviation to the range that leaves out a tenth on either side."""

_DAY = timedelta(days=1)


def conductance_mg_per_day_pa(fresh_mass_g: float) -> float:
    """Conductance of a shell for water vapour [mg a day and Pa] of an egg of this mass [g].

    Raises:
        ValueError: the mass is not above 0.
    """
    if not fresh_mass_g > 0:
        raise ValueError(f"{fresh_mass_g} g is no mass of an egg")
    return float(0.432 * fresh_mass_g**0.780 / PA_IN_A_TORR)


def hoyt_mass_g(length_mm: float, breadth_mm: float) -> float:
    """Fresh mass of an egg from its length and breadth [mm]."""
    return 0.548e-3 * length_mm * breadth_mm**2


def loss_mg_per_day(fresh_mass_g: float, egg_c: float, vapour_pa: float) -> float:
    """Water that goes in a day at this egg temperature [°C] and vapour pressure around it [Pa].

    None goes back into the egg: 0 where the air outside is damper.
    """
    drive_pa = saturation_vapour_pressure_pa(egg_c) - vapour_pa
    return max(0.0, conductance_mg_per_day_pa(fresh_mass_g) * drive_pa)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxHour:
    """The air of a box in the hour from ``start``: temperature [°C], vapour pressure [Pa]."""

    start: datetime
    temperature_c: float
    vapour_pa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EggStay:
    """One egg's time in the shell. ``hours`` are those measured in the boxes that it lay in, in
    order, gaps absent. It was sat on from some instant between ``warm_from`` and ``warm_to``;
    until then it was as warm as its box. Lengths None where nobody measured the egg.
    """

    laid_at: datetime
    until: datetime
    warm_from: datetime
    warm_to: datetime
    hours: Sequence[BoxHour]
    length_mm: float | None = None
    breadth_mm: float | None = None

    @property
    def fresh_mass_g(self) -> float:
        """By its measures, else the usual."""
        if self.length_mm is None or self.breadth_mm is None:
            return FRESH_MASS_G
        return hoyt_mass_g(self.length_mm, self.breadth_mm)

    @property
    def is_measured(self) -> bool:
        """Whether the mass comes from this egg's own measures."""
        return self.length_mm is not None and self.breadth_mm is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Share of the fresh mass: the middle, and its standard deviation, both 0 to 1."""

    middle: float
    spread: float

    @property
    def low(self) -> float:
        """One in ten loses less."""
        return max(0.0, self.middle - TEN_TO_NINETY * self.spread)

    @property
    def high(self) -> float:
        """One in ten loses more."""
        return self.middle + TEN_TO_NINETY * self.spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """``loss`` is None where too little was measured. ``coverage`` is the share of the time in
    which the box's own sensor told. ``vapour_pa`` is the mean while the egg was warm.
    """

    loss: Loss | None
    coverage: float
    vapour_pa: float | None


def reckoned_loss(stay: EggStay, since: datetime, until: datetime) -> Reckoned:
    """What an egg lost between two instants of its stay, by the air of its boxes.

    The middle instant of ``warm_from`` to ``warm_to`` is taken; the doubt about it, about the
    conductance, the mass and the egg's temperature widen the range, as independent errors.
    """
    inside = _parts(stay.hours, since, until)
    whole, told = until - since, sum((part.length for part in inside), timedelta())
    coverage = told / whole if whole > timedelta() else 0.0
    if coverage < LEAST_COVERAGE:
        return Reckoned(loss=None, coverage=coverage, vapour_pa=None)
    middle = stay.warm_from + (stay.warm_to - stay.warm_from) / 2
    loss = _loss(stay, inside, middle, EGG_C) / coverage
    late, early = (_loss(stay, inside, at, EGG_C) for at in (stay.warm_to, stay.warm_from))
    warmer = _loss(stay, inside, middle, EGG_C + EGG_SPREAD_K) / coverage
    # The loss goes by W^0.78 / W: an egg's mass matters little.
    of_mass = 0.0 if stay.is_measured else 0.22 * MASS_SPREAD
    spread = math.hypot(
        loss * math.hypot(CONDUCTANCE_SPREAD, of_mass),
        warmer - loss,
        (early - late) / coverage / 2,
        loss * (1 - coverage) * UNMEASURED_SPREAD,
    )
    return Reckoned(
        loss=Loss(middle=loss, spread=spread),
        coverage=coverage,
        vapour_pa=_mean_vapour(inside, middle),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """The part of a measured hour that lies inside."""

    hour: BoxHour
    since: datetime
    length: timedelta


def _parts(hours: Sequence[BoxHour], since: datetime, until: datetime) -> list[_Part]:
    hour = timedelta(hours=1)
    found = []
    for one in hours:
        begin, end = max(one.start, since), min(one.start + hour, until)
        if begin < end:
            found.append(_Part(hour=one, since=begin, length=end - begin))
    return found


def _loss(stay: EggStay, parts: Sequence[_Part], warm_at: datetime, warm_c: float) -> float:
    """Share of the mass that goes in the measured parts."""
    mass_g = stay.fresh_mass_g
    lost_mg = 0.0
    for part in parts:
        egg_c = warm_c if part.since >= warm_at else part.hour.temperature_c
        lost_mg += loss_mg_per_day(mass_g, egg_c, part.hour.vapour_pa) * (part.length / _DAY)
    return lost_mg / (1000 * mass_g)


def _mean_vapour(parts: Sequence[_Part], warm_at: datetime) -> float | None:
    warm = [part for part in parts if part.since >= warm_at]
    told = sum((part.length for part in warm), timedelta())
    if not told:
        return None
    return sum(part.hour.vapour_pa * (part.length / told) for part in warm)
