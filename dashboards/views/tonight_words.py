"""What is expected of tonight, in words. Pure.

The band is rounded outwards to whole degrees, the middle to half a degree, and no chance is
ever told as none or as sure. "Fine" is said of a low that stays within its limits all but
surely, and only where there is such a limit.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.ahead import Ahead
from dashboards.views.local_words import clock_time, degrees, near_day
from devices.reading import Quantity
from service.answers.outlook import NEXT_ONE, NO_NIGHT, Tonight, cold_limits, nights_needed, reasons
from service.climate.outlook.outlook import LEARNS_FROM, Level, Outlook, Why
from service.climate.outlook.wording import (
    CANNOT_SEE,
    chance_in_words,
    told_band_c,
    told_median_c,
)
from service.rules.limit import Limit, Priority, When

_LIKELY_FROM = 0.5
_FINE_UNDER = 0.05
_WET_FROM = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class TonightLine:
    """The wall's second line: the longest sentence first, and up to two notes."""

    sentences: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdAhead:
    """A cold limit of tonight, and the chance that the low passes it, 0 to 1."""

    limit: Limit
    chance: float

    @property
    def words(self) -> str:
        """``likely``."""
        return chance_in_words(self.chance)


def tonight_line(tonight: Tonight, limits: Sequence[Limit], zone: ZoneInfo) -> TonightLine:
    """``Tonight 10°, fine`` or ``Tonight 4 to 7°``."""
    band, middle = f"Tonight {_band(tonight)}", _middle(tonight)
    when = _when(tonight.said, zone)
    if Why.FALLS_FAST in tonight.said.whys:  # about now, and something to do
        return TonightLine(sentences=(band,), notes=("cooling fast:", "door open?"))
    if tonight.said.level is Level.LEARNING:
        return TonightLine(sentences=(band,), notes=("still", "learning"))
    cold = cold_ahead(tonight, limits)
    if cold is None:
        return TonightLine(sentences=(f"Tonight {middle}", band), notes=(_band(tonight), *when))
    if cold.chance >= _LIKELY_FROM:
        return TonightLine(sentences=(band,), notes=(f"{middle} likeliest", *when))
    if not_fine := _not_fine(tonight, cold):
        return TonightLine(sentences=(band,), notes=not_fine)
    fine = (f"Tonight {middle}, fine", f"Tonight {_whole(tonight)}, fine")
    return TonightLine(sentences=fine, notes=(_band(tonight), *when))


def _not_fine(tonight: Tonight, cold: ColdAhead) -> tuple[str, ...]:
    """What speaks against "fine" in a night that likely stays within its limit."""
    if _has_been_under(tonight, cold.limit):
        return ("has been", f"under {_setpoint(cold.limit)}")
    if cold.chance >= _FINE_UNDER:
        return (f"under {_setpoint(cold.limit)}:", cold.words)
    wet = tonight.said.chance_condensation
    if wet is not None and wet >= _WET_FROM:
        return ("wet panes:", chance_in_words(wet))
    return ()


def stale_notes(tonight: Tonight, zone: ZoneInfo) -> tuple[str, str]:
    """Beside what is known, where the outlook is too old to be shown."""
    return ("outlook old:", f"from {clock_time(tonight.said.issued_at, zone)}")


def cold_ahead(tonight: Tonight, limits: Sequence[Limit]) -> ColdAhead | None:
    """The cold limit of that night that is passed first; None where there is none, or where
    too few nights are known to tell the chance.
    """
    chances = tonight.said.chance_below
    known = [
        (one.setpoint, one)
        for one in cold_limits(limits, tonight.place)
        if one.priority is not Priority.LOW and one.setpoint in chances
    ]
    if not known:
        return None
    setpoint, limit = max(known, key=lambda one: one[0])
    return ColdAhead(limit=limit, chance=chances[setpoint])


def will_likely_be_cold(tonight: Tonight, limits: Sequence[Limit]) -> ColdAhead | None:
    """As above, where it is likely and has not come yet: then there is something to do."""
    cold = cold_ahead(tonight, limits)
    if cold is None or cold.chance < _LIKELY_FROM:
        return None
    return None if cold.limit.setpoint in tonight.said.crossed_c else cold


def tonight_sentences(
    tonight: Tonight, limits: Sequence[Limit], now: datetime, zone: ZoneInfo
) -> tuple[str, ...]:
    """For a list or a page: the low and how sure, the hour, what is not known, and of when."""
    said = tonight.said
    when = clock_time(said.issued_at, zone)
    if said.stale(now):
        return (f"Tonight: cannot tell. What was said last, at {when}, is too old.",)
    return (
        f"Tonight's low: {_low(tonight, limits)} (said at {when}).",
        *_hours(said, zone),
        *_wet(said),
        *_changed(said, now, zone),
        *_missing(said),
        CANNOT_SEE,
    )


def not_said_sentence(said: Outlook | None, *, night_known: bool = True) -> str:
    """Why there is nothing to tell of tonight, and what it takes."""
    if not night_known:
        return f"Tonight: cannot tell; {NO_NIGHT}."
    if said is None:
        return f"Tonight: not told yet; {NEXT_ONE}, once {LEARNS_FROM} nights are known."
    if said.low_c is not None:  # of a night that is over
        return f"Tonight: not told yet; {NEXT_ONE}."
    why = "; ".join(reasons(said))
    needed = nights_needed(said.nights_used)
    count = f" ({said.nights_used} of {needed})" if said.nights_used < needed else ""
    return f"Tonight: cannot tell, {why}{count}."


def ahead_of(
    tonight: Tonight, limits: Sequence[Limit], now: datetime, now_c: float | None
) -> Ahead | None:
    """What the channel of that place draws to the right of now; None where that is too old, or
    the night is over.
    """
    said = tonight.said
    if now >= said.night.until or said.stale(now):
        return None
    warm = [
        one
        for one in limits
        if one.place == tonight.place
        and one.when is not When.DAY
        and one.quantity is Quantity.TEMPERATURE
    ]
    begun = now >= said.night.since
    return Ahead(
        place=tonight.place,
        since=now if begun else said.night.since,
        until=said.night.until,
        low_c=tonight.low_c.p10,
        middle_c=tonight.low_c.p50,
        high_c=tonight.low_c.p90,
        low_at=None if said.low_at is None else min(said.night.until, max(now, said.low_at)),
        from_c=now_c if begun else None,
        cold_c=max((one.low for one in warm if one.low is not None), default=None),
        hot_c=min((one.high for one in warm if one.high is not None), default=None),
        crosses=will_likely_be_cold(tonight, limits) is not None,
    )


def _low(tonight: Tonight, limits: Sequence[Limit]) -> str:
    if tonight.said.level is Level.LEARNING:
        return f"{_band(tonight)}, still learning from {tonight.said.nights_used} nights"
    told = f"{_middle(tonight)} most likely, {_band(tonight)} in eight nights of ten"
    cold = cold_ahead(tonight, limits)
    if cold is None:
        return told
    setpoint = _setpoint(cold.limit)
    if _has_been_under(tonight, cold.limit):
        return f"{told}; it has been under {setpoint} already"
    return f"{told}; under {setpoint} is {cold.words}"


def _hours(said: Outlook, zone: ZoneInfo) -> tuple[str, ...]:
    if said.low_from is None or said.low_to is None:
        return ()
    since, until = clock_time(said.low_from, zone), clock_time(said.low_to, zone)
    return (f"In most nights of the last month the low came between {since} and {until}.",)


def _wet(said: Outlook) -> tuple[str, ...]:
    wet = said.chance_condensation
    if wet is None:
        return ()
    return (f"Conditions for water on the coldest surface are {chance_in_words(wet)}.",)


def _changed(said: Outlook, now: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    if said.changed_since is None:
        return ()
    since = near_day(said.changed_since, now.astimezone(zone).date())
    return (
        f"The shed behaves differently since about {since}: a heater, a door left open, or "
        "another lining? What is told here is less sure until it has learned.",
    )


def _missing(said: Outlook) -> tuple[str, ...]:
    why = [one for one in reasons(said) if "differently" not in one]
    return (f"Not better known: {'; '.join(why)}.",) if why else ()


def _middle(tonight: Tonight) -> str:
    """``6.5°``, ``7°``: finer nobody can tell of tonight."""
    middle_c = told_median_c(tonight.low_c, tonight.said.low_so_far_c)
    return degrees(middle_c, 0 if middle_c == round(middle_c) else 1)


def _whole(tonight: Tonight) -> str:
    """``7°``, where there is room for no more."""
    whole_c, so_far_c = math.floor(tonight.low_c.p50 + 0.5), tonight.said.low_so_far_c
    if so_far_c is not None and whole_c > so_far_c:
        return degrees(math.floor(so_far_c))
    return degrees(whole_c)


def _band(tonight: Tonight) -> str:
    """``4 to 7°``, outwards."""
    low, high = told_band_c(tonight.low_c)
    if low == high:
        return degrees(low)
    return f"{degrees(low).removesuffix('°')} to {degrees(high)}"


def _has_been_under(tonight: Tonight, limit: Limit) -> bool:
    """By the means that the outlook is made from, or by any reading since."""
    so_far_c = tonight.said.low_so_far_c
    crossed = limit.setpoint in tonight.said.crossed_c
    return crossed or (so_far_c is not None and so_far_c < limit.setpoint)


def _setpoint(limit: Limit) -> str:
    return degrees(limit.setpoint, 0 if limit.setpoint == round(limit.setpoint) else 1)


def _when(said: Outlook, zone: ZoneInfo) -> tuple[str, ...]:
    """``low near 5 am``; nothing where too few nights are known to tell."""
    if said.low_at is None:
        return ()
    local = (said.low_at + timedelta(minutes=30)).astimezone(zone)
    return (f"low near {local.hour % 12 or 12} {'am' if local.hour < 12 else 'pm'}",)
