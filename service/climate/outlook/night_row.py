"""One night as the outlook remembers it: what was known at each hour, and what came. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import pairwise

from service.climate.outlook.features import Issue, Remembered, features
from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.quarters import Quarters, begin_of, quarter

LEAST_COVERAGE = 0.9
"""A night of which less was told teaches nothing: its low may lie in the gap."""

CONDENSING_BELOW_K = 1.0
"""A surface within this of the dew point for half an hour: conditions for condensation. The
kelvin allows for the error of the sensors and for panes that the clear sky cools further."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightRow:
    """What is fitted to. ``surface_by`` names how the coldest surface was known ("" not at all);
    a margin by one way says nothing about a margin by another.

    ``least_margin_k`` is the lowest mean of half an hour by which the surface was above the dew
    point; ``lowest_outdoors_c`` the lowest quarter outdoors. Each None where not told.
    """

    night: NightSpan
    coverage: float
    low_c: float | None
    low_at: datetime | None
    least_margin_k: float | None = None
    lowest_outdoors_c: float | None = None
    surface_by: str = ""
    faulty: bool = False
    issues: Mapping[int, Issue] = field(default_factory=dict)

    @property
    def evening(self) -> date:
        """The local date of its evening."""
        return self.night.evening

    @property
    def counts(self) -> bool:
        """Whether enough of it is known to learn from it."""
        return self.low_c is not None and self.coverage >= LEAST_COVERAGE and not self.faulty

    @property
    def condensed(self) -> bool | None:
        """Whether there were conditions for condensation, by the margin; None where not told."""
        return None if self.least_margin_k is None else self.least_margin_k < CONDENSING_BELOW_K


def night_row(
    quarters: Quarters,
    night: NightSpan,
    earlier: Sequence[NightRow],
    *,
    surface_by: str = "",
    faulty: bool = False,
) -> NightRow:
    """The row of a night that is over.

    Args:
        quarters: from a day before the first issue (32 hours before lamps-off) to its end.
        night: as it was planned.
        earlier: rows of earlier evenings, oldest first; may be empty, evenings may be missing.
        surface_by: how ``quarters.surface_c`` is known ("measured", "factor 0.3", ...).
        faulty: a door or a sensor was not right: it is remembered, but teaches nothing.
    """
    begin, end = quarter(night.since), quarter(night.until)
    told = quarters.between(quarters.shed_c, begin, end)
    known = [(value, begin + k) for k, value in enumerate(told) if value is not None]
    low_c, low_quarter = min(known, default=(None, None))
    outdoors = [v for v in quarters.between(quarters.outdoors_c, begin, end) if v is not None]
    row = NightRow(
        night=night,
        coverage=len(known) / len(told) if told else 0.0,
        low_c=low_c,
        low_at=None if low_quarter is None else begin_of(low_quarter),
        least_margin_k=least_margin_k(quarters, begin, end),
        lowest_outdoors_c=min(outdoors, default=None),
        surface_by=surface_by,
        faulty=faulty,
    )
    remembered = recollections(earlier)
    found = {hour: issue_at(quarters, night, hour, remembered) for hour in night.hours()}
    return replace(row, issues={hour: issue for hour, issue in found.items() if issue})


def recollections(rows: Sequence[NightRow]) -> tuple[Remembered, ...]:
    """What of earlier nights is looked back to, newest first: those that count."""
    return tuple(
        Remembered(
            evening=row.evening,
            low_c=row.low_c,
            lowest_outdoors_c=row.lowest_outdoors_c,
            shed_c={hour: issue.shed_c for hour, issue in row.issues.items()},
        )
        for row in reversed(rows[-_LOOKED_BACK:])
        if row.counts and row.low_c is not None
    )


_LOOKED_BACK = 8


def issue_at(
    quarters: Quarters, night: NightSpan, hour: int, remembered: Sequence[Remembered]
) -> Issue | None:
    """What is known at that hour, counted from lamps-off; None without a temperature then."""
    at = night.issue_at(hour)
    end = quarter(at)
    found = features(quarters, night, at, hour, remembered)
    if found is None:
        return None
    begin = quarter(night.since)
    told = [value for value in quarters.between(quarters.shed_c, begin, end) if value is not None]
    found = replace(
        found,
        low_so_far_c=min(told, default=None),
        least_margin_so_far_k=least_margin_k(quarters, begin, end),
    )
    return _since_off(found, quarters, begin - 1) if hour > 0 else found


def _since_off(issue: Issue, quarters: Quarters, last_lit: int) -> Issue:
    warm = quarters.at(quarters.shed_c, last_lit)
    outdoors = quarters.at(quarters.outdoors_c, last_lit)
    if warm is None:
        return issue
    return replace(
        issue,
        fallen_k=warm - issue.shed_c,
        gap_at_off_k=None if outdoors is None else warm - outdoors,
    )


def least_margin_k(quarters: Quarters, begin: int, end: int) -> float | None:
    """The lowest half-hour mean by which the surface was above the dew point [K]."""
    surface = quarters.between(quarters.surface_c, begin, end)
    dew = quarters.between(quarters.dew_c, begin, end)
    margins = [None if s is None or d is None else s - d for s, d in zip(surface, dew, strict=True)]
    halves = [
        (one + next_) / 2
        for one, next_ in pairwise(margins)
        if one is not None and next_ is not None
    ]
    return min(halves, default=None)
