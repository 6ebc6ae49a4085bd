"""The last night, or this one so far, in sentences: each with its time, or why nobody can tell.

Pure. What was not measured is never told as none: a night with a gap in it may have been worse.
"""

import math
from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo

from dashboards.views.air_nights import WHOLE, hours_words, share_words, wet_between
from dashboards.views.banks import AirLimits
from dashboards.views.local_words import clock_time, day_word, degrees
from service.climate.night_summary import NightSummary

WATER_UNKNOWN = "Water on the coldest surface: cannot tell"
_NEARLY_ALL = 0.97
_WORTH_TELLING_MIN = 15.0
_FALL_TOLD_K_PER_H = 1.0
"""A slower fall is what any night does."""

_BOUNDS: Mapping[str, str] = {
    "measured": "as the light sensor saw it",
    "schedule": "by the lamps' programme, for no light sensor saw it",
    "sun": "by sunset and sunrise, for no light sensor saw it",
}


def last_night(told: NightSummary | None, limits: AirLimits, zone: ZoneInfo) -> tuple[str, ...]:
    """The sentences, the most wanted first. ``limits`` are those of the night there."""
    if told is None:
        return (
            "No night is known: nothing was measured in the shed, or nothing tells when it is "
            "night. A light sensor, the lamps' hours or the shed's place on the map would.",
        )
    if told.low_c is None or told.low_at is None:
        return (
            f"{_name(told)}: cannot tell, the shed's thermometer told nothing.",
            _dark(told, zone),
        )
    return (
        f"{_name(told)}: {degrees(told.low_c, 1)} at the lowest, "
        f"at {clock_time(told.low_at, zone)}.",
        *_cold(told, limits),
        *_damp(told, limits, zone),
        *_water(told),
        *_fall(told, zone),
        _dark(told, zone),
        *_gaps(told),
    )


def _name(told: NightSummary) -> str:
    if told.night.until is None:
        return "Tonight so far"
    return f"The night of {day_word(told.night.evening)}"


def _cold(told: NightSummary, limits: AirLimits) -> Iterator[str]:
    if limits.cold_c is None:
        return
    limit, hours = (
        degrees(limits.cold_c, _digits(limits.cold_c)),
        told.hours_below.get(limits.cold_c, 0.0),
    )
    if hours > 0:
        yield f"It was below {limit} for {hours_words(hours)}."
    elif told.coverage >= WHOLE:
        yield f"It was not below {limit}."
    else:
        yield f"It was not below {limit} while it was measured."


def _digits(value: float) -> int:
    return 0 if value == round(value) else 1


def _damp(told: NightSummary, limits: AirLimits, zone: ZoneInfo) -> Iterator[str]:
    if told.rh_max_pct is None:
        yield "How damp it was: cannot tell, no humidity was measured."
        return
    when = f" at {clock_time(told.rh_max_at, zone)}" if told.rh_max_at else ""
    most = f"{told.rh_max_pct:.0f} % damp at most{when}"
    hours = told.hours_above.get(limits.damp_pct, 0.0) if limits.damp_pct is not None else 0.0
    over = f", over {limits.damp_pct:.0f} % for {hours_words(hours)}" if hours > 0 else ""
    seen = told.humidity_coverage
    part = f"; measured for {share_words(seen)} of the night" if seen < WHOLE else ""
    yield f"{most}{over}{part}."
    if told.dew_margin_min_c is not None:
        spare = math.floor(told.dew_margin_min_c)
        near = f"{spare}°" if spare >= 1 else "less than 1°"
        yield f"At the least the air was {near} above its dew point."


def _water(told: NightSummary) -> Iterator[str]:
    between = wet_between(told)
    if between is not None:
        lay = "lay" if told.condensation_least_min else "may have lain"
        yield (
            f"Water {lay} on the coldest surface, {between}, by how cold it truly was; a "
            "thermometer on it would tell."
        )
        return
    if told.condensation_min is None:
        yield f"{WATER_UNKNOWN}."
        return
    how = "measured there" if told.surface == "measured" else "reckoned"
    if told.condensation_min > 0:
        long = hours_words(told.condensation_min / 60)
        yield f"Water lay on the coldest surface for {long}, {how}."
    elif told.surface_coverage >= WHOLE:
        yield f"No water on the coldest surface, {how}{_at_most(told)}."
    else:
        share = share_words(told.surface_coverage)
        seen = f"No water seen on the coldest surface, {how} for {share} of the night"
        yield f"{seen}{_at_most(told)}."


def _at_most(told: NightSummary) -> str:
    """What may have been all the same."""
    most_min = told.condensation_most_min or 0.0
    if most_min < _WORTH_TELLING_MIN:
        return ""
    return f"; {hours_words(most_min / 60)} at most, by what sensors are off, or as frost"


def _fall(told: NightSummary, zone: ZoneInfo) -> Iterator[str]:
    fall, at = told.fall_max_k_per_h, told.fall_max_at
    if fall is None or at is None or fall < _FALL_TOLD_K_PER_H:
        return
    told_fall = f"{round(fall * 2) / 2:g}° an hour"
    yield f"It fell fastest from {clock_time(at, zone)} on, by about {told_fall}."


def _dark(told: NightSummary, zone: ZoneInfo) -> str:
    since = clock_time(told.night.since, zone)
    how = _BOUNDS[told.night.bounds]
    if told.night.until is None:
        return f"Dark since {since}, {how}."
    return f"Dark from {since} to {clock_time(told.night.until, zone)}, {how}."


def _gaps(told: NightSummary) -> Iterator[str]:
    if told.coverage < WHOLE:
        share = share_words(told.coverage)
        yield f"Only {share} of it was measured: what was missed may have been worse."
    elif told.coverage < _NEARLY_ALL:
        yield f"{share_words(told.coverage)} of it was measured."
