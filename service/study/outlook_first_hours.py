"""How far the shed usually falls in the first hours after lamps-off. Pure.

A line of that fall against how much warmer than outdoors the shed was at lamps-off, over the
last three weeks. A night's low hides an open door among weather; the first hours do not, for
the gap to outdoors explains most of them.
"""

from collections.abc import Sequence

import numpy as np

from service.climate.outlook.model import UsualFall
from service.climate.outlook.night_row import NightRow

HOURS = range(1, 5)
_NIGHTS = 21
_FEWEST = 14
_LEAST_SD_K = 0.1
"""No thermometer in a shed with birds is steadier than that (a guess, no source)."""


def usual_falls(rows: Sequence[NightRow]) -> dict[int, UsualFall]:
    """By hour; those are left out for which too few nights told both."""
    found = {hour: _line(rows, hour) for hour in HOURS}
    return {hour: line for hour, line in found.items() if line}


def _line(rows: Sequence[NightRow], hour: int) -> UsualFall | None:
    issues = [row.issues[hour] for row in rows if hour in row.issues]
    told = [
        (issue.gap_at_off_k, issue.fallen_k)
        for issue in issues
        if issue.gap_at_off_k is not None and issue.fallen_k is not None
    ][-_NIGHTS:]
    if len(told) < _FEWEST:
        return None
    gap, fallen = np.array(told).T
    per_k = float(np.cov(gap, fallen)[0, 1] / max(float(np.var(gap, ddof=1)), 1e-6))
    constant = float(fallen.mean() - per_k * gap.mean())
    spread = fallen - constant - per_k * gap
    sd = float(np.sqrt(np.sum(spread**2) / (len(told) - 2)))
    return UsualFall(constant_k=constant, per_k=per_k, sd_k=max(_LEAST_SD_K, sd))
