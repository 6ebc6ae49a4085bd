"""How long things take in a budgerigar's nest: editable, each span with its source."""

from dataclasses import dataclass

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySpan:
    """From ``least`` to ``most`` days after something, and who says so."""

    least: float
    most: float
    source: str = COMMON

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most:
            raise ValueError(f"{self.least} to {self.most} days is not a span")


@dataclass(frozen=True, slots=True, kw_only=True)
class EggSpan:
    """From egg ``least`` to egg ``most`` in laying order, and who says so."""

    least: int
    most: int
    source: str = COMMON

    def __post_init__(self) -> None:
        if not 1 <= self.least <= self.most:
            raise ValueError(f"a hen can't sit from egg {self.least} to egg {self.most}")


EXTENSION = "extension e-course, Indian agricultural statistics institute"
HATCH = f"18 days: {EXTENSION}; the days around it: {COMMON}"
RING = f"9 to 10 days: {EXTENSION}; from the 7th day on: {COMMON}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesSettings:
    """Spans in days. The names say after what each is counted.

    ``eggs_before_sitting`` are the eggs with which a hen is taken to begin to sit, where
    neither the keeper nor a check says so. ``complete_after_last_egg``: so long without a new
    egg, the clutch is taken to be complete. ``split_after_hatch``: the young are put apart
    from their parents. ``box_off_after_last_out``: the box is taken off once nobody needs it.
    """

    next_egg_after_egg: DaySpan = DaySpan(least=1.5, most=2.5, source=COMMON)
    complete_after_last_egg: DaySpan = DaySpan(least=3, most=5, source=COMMON)
    candle_after_sitting: DaySpan = DaySpan(least=6, most=9, source=COMMON)
    hatch_after_sitting: DaySpan = DaySpan(least=17, most=20, source=HATCH)
    ring_after_hatch: DaySpan = DaySpan(least=7, most=10, source=RING)
    hide_before_fledge: DaySpan = DaySpan(least=2, most=7, source=COMMON)
    fledge_after_hatch: DaySpan = DaySpan(least=28, most=35, source=COMMON)
    independent_after_hatch: DaySpan = DaySpan(least=42, most=56, source=COMMON)
    split_after_hatch: DaySpan = DaySpan(least=42, most=60, source=COMMON)
    box_off_after_last_out: DaySpan = DaySpan(least=1, most=7, source=COMMON)
    eggs_before_sitting: EggSpan = EggSpan(least=1, most=3, source=COMMON)
