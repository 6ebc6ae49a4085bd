"""The nights of a month for the picture and the table, and each in a few words. Pure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from dashboards.views.banks import AirLimits
from dashboards.views.local_words import clock_time, day_short, degrees
from service.climate.night_summary import NightSummary

WHOLE = 0.9
"""A night of which less than this was measured may have been worse than it is told."""

NOT_MEASURED = "not measured"
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class NightLow:
    """What is drawn of one night. None: nobody knows.

    ``damp_h`` is how long it was above the damp limit, ``wet_h`` how long water lay on the
    coldest surface, at the least, and ``wet_may_h`` at the most [h].
    """

    evening: date
    low_c: float | None
    whole: bool
    damp_h: float | None
    wet_h: float | None
    wet_may_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NightRow:
    """One line of the table, in words."""

    night: str
    low: str
    cold: str
    damp: str
    wet: str
    measured: str


def night_lows(nights: Sequence[NightSummary], limits: AirLimits) -> tuple[NightLow, ...]:
    """One for each night, as they come."""
    return tuple(
        NightLow(
            evening=told.night.evening,
            low_c=told.low_c,
            whole=told.coverage >= WHOLE,
            damp_h=_if_seen(_too_damp_h(told, limits), told.humidity_coverage),
            wet_h=_if_seen(
                _in_hours(told.condensation_min, told.condensation_least_min),
                told.surface_coverage,
            ),
            wet_may_h=_in_hours(told.condensation_min, told.condensation_most_min),
        )
        for told in nights
    )


def _if_seen(hours: float | None, coverage: float) -> float | None:
    """No hour in a night that was seen in part is not known to be none."""
    return None if hours == 0 and coverage < WHOLE else hours


def _in_hours(told_min: float | None, bound_min: float | None) -> float | None:
    """The one figure where there is one, else a bound of it."""
    minutes = bound_min if told_min is None else told_min
    return None if minutes is None else minutes / 60


def _too_damp_h(told: NightSummary, limits: AirLimits) -> float | None:
    if told.rh_max_pct is None or limits.damp_pct is None:
        return None
    return told.hours_above.get(limits.damp_pct)


def night_rows(
    nights: Sequence[NightSummary], limits: AirLimits, zone: ZoneInfo
) -> tuple[NightRow, ...]:
    """The newest first."""
    return tuple(_row(told, limits, zone) for told in reversed(nights))


def _row(told: NightSummary, limits: AirLimits, zone: ZoneInfo) -> NightRow:
    going_on = "" if told.night.until is not None else ", so far"
    low = NOT_MEASURED
    if told.low_c is not None and told.low_at is not None:
        low = f"{degrees(told.low_c, 1)} at {clock_time(told.low_at, zone)}"
    return NightRow(
        night=day_short(told.night.evening) + going_on,
        low=low,
        cold=_below(told, limits),
        damp=_damp(told, limits),
        wet=_wet(told),
        measured=share_words(told.coverage),
    )


def _below(told: NightSummary, limits: AirLimits) -> str:
    if limits.cold_c is None:
        return "no limit"
    if told.low_c is None:
        return CANNOT_TELL
    hours = told.hours_below.get(limits.cold_c, 0.0)
    return hours_words(hours) if hours > 0 else _none_in(told.coverage)


def _none_in(coverage: float) -> str:
    """Nothing seen in half a night is not nothing."""
    return "none" if coverage >= WHOLE else "none seen"


def _damp(told: NightSummary, limits: AirLimits) -> str:
    if told.rh_max_pct is None:
        return NOT_MEASURED
    most = f"{told.rh_max_pct:.0f} % at most"
    if told.humidity_coverage < WHOLE:
        most += f" ({share_words(told.humidity_coverage)} measured)"
    hours = _too_damp_h(told, limits)
    return f"{most}, too damp {hours_words(hours)}" if hours else most


def _wet(told: NightSummary) -> str:
    if told.condensation_min is None:
        return wet_between(told) or CANNOT_TELL
    if told.condensation_min <= 0:
        return _none_in(told.surface_coverage)
    return hours_words(told.condensation_min / 60)


def wet_between(told: NightSummary) -> str | None:
    """``none to about 10 h``, where only the least and the most are known; else None."""
    least, most = told.condensation_least_min, told.condensation_most_min
    if told.condensation_min is not None or least is None or most is None:
        return None
    return f"{hours_words(least / 60) if least > 0 else 'none'} to {hours_words(most / 60)}"


def hours_words(hours: float) -> str:
    """``under 10 min``, ``about 40 min``, ``about 2.5 h``: no finer than anybody can tell."""
    minutes = hours * 60
    if minutes < 10:
        return "under 10 min"
    if minutes < 90:
        return f"about {round(minutes / 10) * 10} min"
    return f"about {round(hours * 2) / 2:g} h"


def share_words(share: float) -> str:
    """``all``, ``98 %``, ``under 1 %``, ``nothing``: rounded down, so that a gap is not lost."""
    if share <= 0:
        return "nothing"
    if share >= 0.995:
        return "all"
    return f"{math.floor(share * 100)} %" if share >= 0.01 else "under 1 %"
