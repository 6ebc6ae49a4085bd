"""How the night was at a place, in a sentence; where nobody can tell, that. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.banks import AirLimits
from dashboards.views.local_words import clock_time, degrees
from service.climate.night_summary import NightSummary

_WHOLE = 0.97
"""A night of which more than this was measured counts as measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightThere:
    """``place`` is where the sensor stands, which may be a place around the one asked for.

    ``summary`` is None where no night is known. ``heard_until`` is the last reading that counts
    in the night, None where there was none. ``limits`` are those of the night at ``place``.
    """

    place: str
    device: str
    summary: NightSummary | None
    heard_until: datetime | None
    limits: AirLimits
    max_gap: timedelta

    @property
    def hours_too_cold(self) -> float:
        """Below the cold limit, as far as it was measured; 0 without a limit."""
        if self.summary is None or self.limits.cold_c is None:
            return 0.0
        return self.summary.hours_below[self.limits.cold_c]


@dataclass(frozen=True, slots=True, kw_only=True)
class NightWords:
    """``unusual``: too cold or too damp by the limits there, or not known; it is told before
    the keeper stands at the cage. ``place`` is where it was measured, empty where nobody did.
    """

    words: str
    unusual: bool
    place: str = ""


def night_words(there: NightThere | None, names: Mapping[str, str], zone: ZoneInfo) -> NightWords:
    """``names`` are those of places by id. ``there`` is None where no sensor is near."""
    if there is None:
        return NightWords(words="The night: cannot tell, no sensor is here", unusual=True)
    whose = names.get(there.place, there.place)
    if there.summary is None:
        return NightWords(
            words=f"The night in {whose}: cannot tell, nothing says when it was night",
            unusual=True,
            place=there.place,
        )
    told = there.summary
    if told.low_c is None or told.low_at is None:
        return NightWords(
            words=f"The night in {whose}: cannot tell, {there.device} told nothing",
            unusual=True,
            place=there.place,
        )
    begin = "Tonight so far" if told.night.until is None else "The night"
    low = f"{begin} in {whose}: {degrees(told.low_c, 1)} at {clock_time(told.low_at, zone)}"
    notes = [*_cold(there), *_damp(there, told), *_gaps(there, told, zone)]
    return NightWords(
        words="; ".join([low + _most_damp(told), *notes]), unusual=bool(notes), place=there.place
    )


def _most_damp(told: NightSummary) -> str:
    if told.rh_max_pct is None:
        return ", damp not measured"
    return f", {told.rh_max_pct:.0f} % damp at most"


def _cold(there: NightThere) -> list[str]:
    hours = there.hours_too_cold
    if hours <= 0:
        return []
    minutes = round(hours * 60)
    long = f"{minutes} min" if minutes < 90 else f"{hours:.1f} h"
    return [f"below {degrees(there.limits.cold_c or 0.0, 1)} for {long}"]


def _damp(there: NightThere, told: NightSummary) -> list[str]:
    limit = there.limits.damp_pct
    if limit is None or told.rh_max_pct is None or told.rh_max_pct <= limit:
        return []
    return [f"too damp, over {limit:.0f} %"]


def _gaps(there: NightThere, told: NightSummary, zone: ZoneInfo) -> list[str]:
    """What was not measured may have been worse."""
    if told.coverage >= _WHOLE or there.heard_until is None:
        return []
    share = f"only {told.coverage * 100:.0f} % of it was measured"
    end = told.night.until
    if end is not None and end - there.heard_until > there.max_gap:
        return [f"{share}, nothing after {clock_time(there.heard_until, zone)}"]
    return [share]
