"""What is known of a night when its outlook is issued. Pure.

Every value is a mean of the quarter of an hour that ended then; what was not told is None, and
the model puts in what is usual. Only the shed's own temperature must be there.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.quarters import IN_AN_HOUR, Means, Quarters, quarter

SHED = (
    "const",  # 1
    "s1",  # by how much the shed is warmer than an hour ago
    "s3",  # ... than three hours ago
    "spread",  # above its dew point
    "rng",  # below the warmest since the lamps came on
    "fall1",  # how far it fell last night from the same hour on
    "fall3",  # ... in the mean of the last three nights
    "pers",  # above last night's low
    "d24",  # warmer than a day ago
    "cos",  # day of the year
    "sin",
    "left",  # hours until the lamps come on
    "dew3",  # by how much the dew point is higher than three hours ago
    "dew24",  # ... than a day ago: another air has come
    "rngcos",  # rng in winter, less in summer: so much of it was the sun's
)
OUTDOORS = (
    "gap",  # how much warmer the shed is than outdoors
    "so1",  # by how much it is warmer outdoors than an hour ago
    "so3",  # ... than three hours ago
    "outlow",  # outdoors above last night's lowest there
    "od24",  # warmer outdoors than a day ago
)
DAMP = ("margin",)  # the coldest surface above the dew point
FEATURES = SHED + OUTDOORS + DAMP
"""In this order in ``Issue.features``; differences in kelvin."""

_DAY = 24 * IN_AN_HOUR
_LAST_NIGHTS = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remembered:
    """Of an earlier night: its low, the lowest outdoors, the shed at each hour of issue [°C]."""

    evening: date
    low_c: float
    lowest_outdoors_c: float | None
    shed_c: Mapping[int, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """What was known at one hour: the shed [°C], the features, and what came so far.

    ``low_so_far_c`` is the lowest quarter since the lamps went off, ``least_margin_so_far_k``
    the lowest half hour of the surface's margin; ``fallen_k`` is how far the shed fell since
    then, and ``gap_at_off_k`` how much warmer than outdoors it was then. None before.
    """

    hour: int
    shed_c: float
    features: tuple[float | None, ...]
    low_so_far_c: float | None = None
    least_margin_so_far_k: float | None = None
    fallen_k: float | None = None
    gap_at_off_k: float | None = None

    def of(self, name: str) -> float | None:
        """One feature by its name."""
        return self.features[FEATURES.index(name)]

    @property
    def knows_outdoors(self) -> bool:
        """Whether an outdoor thermometer told something that can be used."""
        return self.of("gap") is not None


def features(
    quarters: Quarters,
    night: NightSpan,
    at: datetime,
    hour: int,
    remembered: Sequence[Remembered],
) -> Issue | None:
    """What is known at ``at``; None where the shed's temperature is not told.

    Args:
        quarters: from a day before ``at`` on; later ones are not looked at.
        night: for which the outlook is issued.
        at: the instant of issue.
        hour: the same, counted from lamps-off.
        remembered: earlier nights, newest first; may be empty.
    """
    last = quarter(at) - 1
    now = quarters.at(quarters.shed_c, last)
    if now is None:
        return None
    known = _shed(quarters, night, at, last, now)
    known |= _nights_before(night, hour, now, remembered)
    if not quarters.outdoors_frozen(last):
        known |= _outdoors(quarters, last, now, _recent(night, remembered))
    known |= _damp(quarters, last)
    return Issue(
        hour=hour, shed_c=round(now, 4), features=tuple(_kept(known.get(name)) for name in FEATURES)
    )


def _shed(
    quarters: Quarters, night: NightSpan, at: datetime, last: int, now: float
) -> dict[str, float | None]:
    def ago(hours: int) -> float | None:
        return _less(now, quarters.at(quarters.shed_c, last - hours * IN_AN_HOUR))

    since = max(quarter(night.light_since), last - _DAY)
    warmest = max(_told(quarters.between(quarters.shed_c, since, last + 1)), default=now)
    fallen = warmest - now
    turn = 2 * math.pi * (night.evening.timetuple().tm_yday / 365.25 + 0.5 * night.southern)
    return {
        "const": 1.0,
        "s1": ago(1),
        "s3": ago(3),
        "spread": _less(now, quarters.at(quarters.dew_c, last)),
        "rng": fallen,
        "d24": ago(24),
        "cos": math.cos(turn),
        "sin": math.sin(turn),
        "rngcos": fallen * math.cos(turn),
        "left": (night.until - at) / timedelta(hours=1),
    }


def _nights_before(
    night: NightSpan, hour: int, now: float, remembered: Sequence[Remembered]
) -> dict[str, float | None]:
    recent = _recent(night, remembered)
    falls = [one.shed_c[hour] - one.low_c for one in recent if hour in one.shed_c][:3]
    return {
        "fall1": falls[0] if falls else None,
        "fall3": sum(falls) / len(falls) if falls else None,
        "pers": now - recent[0].low_c if recent else None,
    }


def _outdoors(
    quarters: Quarters, last: int, now: float, recent: Sequence[Remembered]
) -> dict[str, float | None]:
    means = quarters.outdoors_c
    outdoors = quarters.at(means, last)
    if outdoors is None:
        return {}
    lowest = recent[0].lowest_outdoors_c if recent else None
    return {
        "gap": now - outdoors,
        "so1": _less(outdoors, quarters.at(means, last - IN_AN_HOUR)),
        "so3": _less(outdoors, quarters.at(means, last - 3 * IN_AN_HOUR)),
        "outlow": _less(outdoors, lowest),
        "od24": _less(outdoors, quarters.at(means, last - _DAY)),
    }


def _damp(quarters: Quarters, last: int) -> dict[str, float | None]:
    dew = quarters.at(quarters.dew_c, last)
    return {
        "margin": _less(quarters.at(quarters.surface_c, last), dew),
        "dew3": _less(dew, quarters.at(quarters.dew_c, last - 3 * IN_AN_HOUR)),
        "dew24": _less(dew, quarters.at(quarters.dew_c, last - _DAY)),
    }


def _recent(night: NightSpan, remembered: Sequence[Remembered]) -> list[Remembered]:
    """Those of the last week: older ones say nothing about tonight."""
    return [
        one for one in remembered if night.evening - _LAST_NIGHTS <= one.evening < night.evening
    ]


def _kept(value: float | None) -> float | None:
    """To a ten thousandth: finer than any sensor, and short where it is kept."""
    return None if value is None else round(value, 4)


def _less(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other


def _told(values: Means | Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None]
