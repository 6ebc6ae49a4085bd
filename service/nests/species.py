"""How long things take in a budgerigar's nest: editable, each span with its source."""

from dataclasses import dataclass, field

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


def _span(least: float, most: float, source: str = COMMON) -> DaySpan:
    return field(default_factory=lambda: DaySpan(least=least, most=most, source=source))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesSettings:
    """Spans in days. The names say after what each is counted."""

    next_egg_after_egg: DaySpan = _span(1.5, 2.5)
    candle_after_sitting: DaySpan = _span(6, 9)
    hatch_after_sitting: DaySpan = _span(17, 20)
    ring_after_hatch: DaySpan = _span(7, 10)
    hide_before_fledge: DaySpan = _span(2, 7)
    fledge_after_hatch: DaySpan = _span(28, 35)
    independent_after_hatch: DaySpan = _span(42, 56)
    eggs_before_sitting: int = 2
