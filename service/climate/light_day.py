"""What one day's light was, as the shed's light sensor saw it. Values only.

A day is a local date, from midnight to midnight (23 or 25 hours where the clocks change). Its
own light is the light that began on it; where the lamps burn across midnight it ends on the
next date.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.climate.daylight import Daylight
from service.climate.light_spans import LightSource, LightSpan

_HOUR = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLight:
    """When the lamps were meant to burn on that date [UTC]."""

    on_at: datetime
    off_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class LightDay:
    """What is None nobody saw, or it has not come yet.

    ``since`` to ``until`` is the local day [UTC], today's as far as it has gone; ``is_over`` says
    whether it has. ``spans`` are all times of light and dark in it, oldest first; where two do
    not touch nobody knows. ``coverage``, 0 to 1, is the share of the day that they cover.

    ``on_at`` and ``off_at`` bound the day's own light, each only where the change was seen;
    ``on_by`` and ``off_by`` say what brought and took it, where that can be told. ``light`` is
    all light seen in the day. ``brighten`` and ``dim`` are how long the lamps took from dark to
    full and back, by lamps alone. ``dark_gaps`` are dark times within the day's own light, and
    those of more than an hour while the lamps were meant to burn. ``night_lights`` are times of
    light at night: neither planned, nor by day or civil twilight, nor a lamp's clock that is a
    little out. Both are None where nothing was seen. ``longer`` is how much more light there was
    than the day before, where both days were seen (nearly) whole.

    ``planned`` is None in a shed without lamps, ``daylight`` where no place is told.
    """

    day: date
    since: datetime
    until: datetime
    is_over: bool
    spans: tuple[LightSpan, ...]
    coverage: float
    on_at: datetime | None
    off_at: datetime | None
    on_by: LightSource | None
    off_by: LightSource | None
    light: timedelta | None
    brighten: timedelta | None
    dim: timedelta | None
    dark_gaps: tuple[LightSpan, ...] | None
    night_lights: tuple[LightSpan, ...] | None
    planned: PlannedLight | None
    daylight: Daylight | None
    longer: timedelta | None = None

    @property
    def light_h(self) -> float | None:
        """Hours of light seen in the day."""
        return None if self.light is None else self.light / _HOUR

    @property
    def dark_gap_min(self) -> float | None:
        """Minutes of all dark gaps together."""
        return _minutes(self.dark_gaps)

    @property
    def night_light_min(self) -> float | None:
        """Minutes of light at night."""
        return _minutes(self.night_lights)


def _minutes(spans: tuple[LightSpan, ...] | None) -> float | None:
    if spans is None:
        return None
    return sum((span.length for span in spans), timedelta(0)) / _MINUTE
