"""Night rows as arrays: one table an hour of issue. Pure."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from service.climate.outlook.features import FEATURES, Issue
from service.climate.outlook.night_row import NightRow
from service.study.outlook_prior import Chosen, Numbers
from service.study.outlook_ridge import HALF_LIFE_DAYS

_NONE = float("nan")


@dataclass(frozen=True, slots=True, kw_only=True)
class HourTable:
    """Element ``k`` of each is of the same night; NaN where not told.

    ``wet`` is 1 or 0: condensation, as the keeper saw it, else by the margin. ``wet_before``
    the same of the night before, 0 where nobody knows.
    """

    evenings: tuple[date, ...]
    issues: tuple[Issue, ...]
    features: Numbers
    shed_c: Numbers
    low_c: Numbers
    margin_k: Numbers
    least_margin_k: Numbers
    wet: Numbers
    wet_before: Numbers

    def only(self, chosen: Chosen) -> "HourTable":
        """Those nights for which ``chosen`` is true."""
        picked = np.flatnonzero(chosen)
        return HourTable(
            evenings=tuple(self.evenings[k] for k in picked),
            issues=tuple(self.issues[k] for k in picked),
            **{name: getattr(self, name)[picked] for name in _ARRAYS},
        )

    def before(self, evening: date) -> "HourTable":
        """The nights before an evening."""
        count = bisect_left(self.evenings, evening)
        return HourTable(
            evenings=self.evenings[:count],
            issues=self.issues[:count],
            **{name: getattr(self, name)[:count] for name in _ARRAYS},
        )

    def knows(self, feature: str) -> Chosen:
        """For which nights a feature was told."""
        return np.asarray(~np.isnan(self.features[:, FEATURES.index(feature)]))


_ARRAYS = (
    "features",
    "shed_c",
    "low_c",
    "margin_k",
    "least_margin_k",
    "wet",
    "wet_before",
)


def hour_table(
    rows: Sequence[NightRow], hour: int, *, surface_by: str, looks: Mapping[date, bool]
) -> HourTable:
    """The table of one hour: rows that count and were told of at that hour, oldest first."""
    wet = {row.evening: was_wet(row, surface_by, looks) for row in rows}
    known = [row for row in rows if row.counts and hour in row.issues]
    issues = tuple(row.issues[hour] for row in known)
    features = np.array([issue.features for issue in issues], dtype=np.float64)
    return HourTable(
        evenings=tuple(row.evening for row in known),
        issues=issues,
        features=features.reshape(len(known), len(FEATURES)),
        shed_c=np.array([issue.shed_c for issue in issues], dtype=np.float64),
        low_c=_array([row.low_c for row in known]),
        margin_k=_array([issue.of("margin") for issue in issues]),
        least_margin_k=_array(
            [row.least_margin_k if row.surface_by == surface_by else None for row in known]
        ),
        wet=_array([_number(wet[row.evening]) for row in known]),
        wet_before=np.array(
            [float(bool(wet.get(date.fromordinal(row.evening.toordinal() - 1)))) for row in known]
        ),
    )


def was_wet(row: NightRow, surface_by: str, looks: Mapping[date, bool]) -> bool | None:
    """Whether there was condensation: as the keeper saw it, else by the margin, else unknown."""
    if row.evening in looks:
        return looks[row.evening]
    return row.condensed if row.surface_by == surface_by else None


def ages(evenings: Sequence[date], until: date, changed_since: date | None = None) -> Numbers:
    """How much each night counts: less with its age, half before the shed changed."""
    days = np.array([(until - evening).days for evening in evenings], dtype=np.float64)
    weights = np.asarray(0.5 ** (days / HALF_LIFE_DAYS))
    if changed_since is not None:
        weights[[k for k, evening in enumerate(evenings) if evening < changed_since]] *= 0.5
    return weights


def _array(values: Sequence[float | None]) -> Numbers:
    return np.array([_NONE if value is None else value for value in values], dtype=np.float64)


def _number(wet: bool | None) -> float | None:
    return None if wet is None else float(wet)
