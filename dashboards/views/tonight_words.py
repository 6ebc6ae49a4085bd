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
from dashboards.views.local_words import clock_time, degrees
from devices.reading import Quantity
from service.answers.outlook import Chance, Tonight, chance_of
from service.rules.limit import Limit, Priority, When

_LIKELY = (Chance.LIKELY, Chance.VERY_LIKELY, Chance.ALMOST_CERTAIN)
_HARDLY = (Chance.VERY_UNLIKELY, Chance.UNLIKELY)


@dataclass(frozen=True, slots=True, kw_only=True)
class TonightLine:
    """The wall's second line: the longest sentence first, and up to two notes."""

    sentences: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdAhead:
    """A cold limit that the low will likely pass, and how likely, in a word."""

    limit: Limit
    chance: Chance


def tonight_line(tonight: Tonight, limits: Sequence[Limit], zone: ZoneInfo) -> TonightLine:
    """``Tonight 10°, fine`` or ``Tonight 4 to 7°``."""
    band = f"Tonight {_band(tonight)}"
    if tonight.learning:
        return TonightLine(sentences=(band,), notes=("still", "learning"))
    cold = cold_ahead(tonight, limits)
    if cold is None:
        middle = f"Tonight {degrees_to_half(tonight.middle_c)}"
        return TonightLine(sentences=(middle, band), notes=(_band(tonight), *_when(tonight, zone)))
    if cold.chance is not Chance.VERY_UNLIKELY:
        under = f"under {_setpoint(cold.limit)}:"
        return TonightLine(sentences=(band,), notes=(under, cold.chance.value))
    if _may_be_wet(tonight):
        return TonightLine(
            sentences=(band,), notes=("wet panes:", chance_of(tonight.chance_wet or 0.0).value)
        )
    fine = (
        f"Tonight {degrees_to_half(tonight.middle_c)}, fine",
        f"Tonight {degrees(tonight.middle_c)}, fine",
    )
    return TonightLine(sentences=fine, notes=(_band(tonight), *_when(tonight, zone)))


def stale_notes(tonight: Tonight, zone: ZoneInfo) -> tuple[str, str]:
    """Beside what is known, where the outlook is too old to be shown."""
    return ("outlook old:", f"from {clock_time(tonight.issued_at, zone)}")


def cold_ahead(tonight: Tonight, limits: Sequence[Limit]) -> ColdAhead | None:
    """The cold limit of that night that is passed first; None where there is none, or where
    too few nights are known to tell the chance.
    """
    known = [
        (limit, tonight.chance_below[limit.low])
        for limit in limits
        if limit.place == tonight.place
        and limit.quantity is Quantity.TEMPERATURE
        and limit.low is not None
        and limit.low in tonight.chance_below
        and limit.when is not When.DAY
        and limit.priority is not Priority.LOW
    ]
    if not known:
        return None
    limit, chance = max(known, key=lambda one: one[0].low or 0.0)
    return ColdAhead(limit=limit, chance=chance_of(chance))


def will_likely_be_cold(tonight: Tonight, limits: Sequence[Limit]) -> ColdAhead | None:
    """As above, where it is likely and has not come yet: then there is something to do."""
    cold = cold_ahead(tonight, limits)
    if cold is None or cold.chance not in _LIKELY:
        return None
    so_far, low = tonight.low_so_far_c, cold.limit.low
    return None if so_far is not None and low is not None and so_far < low else cold


def tonight_sentence(tonight: Tonight, limits: Sequence[Limit], zone: ZoneInfo) -> str:
    """One sentence for a list: the middle, the band, how likely it gets too cold, and of when."""
    said = f"at {clock_time(tonight.issued_at, zone)}"
    band = _band(tonight)
    if tonight.learning:
        return f"Tonight's low: {band}, as far as few nights tell; said {said}"
    middle = degrees_to_half(tonight.middle_c)
    cold = cold_ahead(tonight, limits)
    told = f"Tonight's low: {middle} most likely, {band} in four nights of five"
    if cold is not None:
        told += f"; under {_setpoint(cold.limit)} is {cold.chance.value}"
    if tonight.chance_wet is not None and _may_be_wet(tonight):
        told += f"; wet panes are {chance_of(tonight.chance_wet).value}"
    return f"{told}; said {said}"


def ahead_of(
    tonight: Tonight, limits: Sequence[Limit], now: datetime, now_c: float | None
) -> Ahead | None:
    """What the channel of that place draws to the right of now; None when the night is over."""
    if now >= tonight.until:
        return None
    nights = [one for one in limits if one.place == tonight.place and one.when is not When.DAY]
    warm = [one for one in nights if one.quantity is Quantity.TEMPERATURE]
    begun = now >= tonight.since
    return Ahead(
        place=tonight.place,
        since=now if begun else tonight.since,
        until=tonight.until,
        low_c=tonight.low_c,
        middle_c=tonight.middle_c,
        high_c=tonight.high_c,
        low_at=min(tonight.until, max(now, tonight.low_at)),
        from_c=now_c if begun else None,
        cold_c=max((one.low for one in warm if one.low is not None), default=None),
        hot_c=min((one.high for one in warm if one.high is not None), default=None),
        crosses=will_likely_be_cold(tonight, limits) is not None,
    )


def degrees_to_half(value_c: float) -> str:
    """``6.5°``, ``7°``: more than half a degree nobody can tell of tonight."""
    halves = math.floor(value_c * 2 + 0.5)
    return degrees(halves / 2, halves % 2)


def _band(tonight: Tonight) -> str:
    """``4 to 7°``, outwards."""
    low, high = math.floor(tonight.low_c), math.ceil(tonight.high_c)
    if low == high:
        return degrees(low)
    return f"{degrees(low).removesuffix('°')} to {degrees(high)}"


def _setpoint(limit: Limit) -> str:
    return degrees(limit.setpoint, 0 if limit.setpoint == round(limit.setpoint) else 1)


def _may_be_wet(tonight: Tonight) -> bool:
    return tonight.chance_wet is not None and chance_of(tonight.chance_wet) not in _HARDLY


def _when(tonight: Tonight, zone: ZoneInfo) -> tuple[str, ...]:
    """``low near 5 am``; nothing where too few nights are known to tell."""
    if tonight.low_from is None:
        return ()
    local = (tonight.low_at + timedelta(minutes=30)).astimezone(zone)
    hour = local.hour % 12 or 12
    return (f"low near {hour} {'am' if local.hour < 12 else 'pm'}",)
