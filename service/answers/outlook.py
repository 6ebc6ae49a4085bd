"""What may be said of tonight: the newest outlook of a night that has not ended."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum

STALE_AFTER = timedelta(hours=2)


class Chance(StrEnum):
    """How likely, in words."""

    VERY_UNLIKELY = "very unlikely"
    UNLIKELY = "unlikely"
    POSSIBLE = "possible"
    LIKELY = "likely"
    VERY_LIKELY = "very likely"
    ALMOST_CERTAIN = "almost certain"


def chance_of(chance: float) -> Chance:
    """The word for a chance from 0 to 1."""
    steps = (0.05, 0.2, 0.5, 0.8, 0.95)
    return tuple(Chance)[sum(chance >= step for step in steps)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tonight:
    """What was said last of one night at the shed's own thermometer [°C].

    Four nights in five the low lies from ``low_c`` to ``high_c``. ``learning``: few nights are
    known yet, so that no chance is told. ``chance_below`` has one for each cold limit;
    ``chance_wet`` is that of condensation, None where nobody can tell. ``low_from`` to
    ``low_to`` is when the low usually comes, None before that is known. ``notes`` are sentences
    for the keeper: that the shed behaves differently since, say.
    """

    place: str
    night: date
    since: datetime
    until: datetime
    issued_at: datetime
    low_c: float
    middle_c: float
    high_c: float
    low_at: datetime
    low_from: datetime | None = None
    low_to: datetime | None = None
    chance_below: Mapping[float, float] = field(default_factory=dict)
    chance_wet: float | None = None
    learning: bool = False
    low_so_far_c: float | None = None
    nights: int = 0
    notes: tuple[str, ...] = ()

    def is_stale(self, now: datetime) -> bool:
        """Too old to be shown as what is expected: it is said anew every hour."""
        return now - self.issued_at > STALE_AFTER
