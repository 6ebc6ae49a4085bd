"""The power is gone: told by a sensor of the mains, or by lamps and warmth together. Pure.

Lamps that go dark from one reading to the next, in the midst of their time, may have failed by
themselves. Where within the hour it is also colder than it was in the three hours before, the
heat stands still too: the two have the mains in common.
"""

from collections import deque
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import HEATER_CAUTION, MAINS_CAUTION
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Settable

KIND = "power-cut"

SETTABLE = Settable(
    kind=KIND,
    name="Power cut",
    says="Speaks when the mains are off, or the lamps went dark in one go and it grows cold.",
    needs="a sensor of the mains, or a light and a temperature sensor and the times of the lamps",
)

RATIONALE = Rationale(
    cause="A power cut, or the shed's fuse or residual-current switch.",
    consequence="No lamps, no heat: dark by day, and as cold as outdoors within hours.",
    response="See whether the house has power, then look at the shed's fuse. Keep doors shut.",
    respond_within=timedelta(hours=1),
    priority=Priority.HIGH,
    why_setpoint="Two minutes without mains, which leaves out what comes back by itself; without "
    "such a sensor, lamps out at once and a fall below all of the three hours before.",
    source=COMMON_PRACTICE,
    cautions=(
        MAINS_CAUTION,
        "A residual-current switch that trips again at once stays off until an electrician came.",
        "No candles, gas or petrol in the shed: birds die of their fumes, and so may you. "
        f"{HEATER_CAUTION}",
    ),
)

STROKE = 5.0
"""Lamps that went out at a stroke leave less than one part in so many of the light."""

LIT_TIMES = 3.0
"""It was lit before if it was so many times as bright as what counts as dark."""

COLDER_K = 0.3
WITHIN = timedelta(hours=1)
FOR = timedelta(minutes=5)
_BEFORE = timedelta(hours=3)
_APART = timedelta(minutes=5)
_AT_LEAST = timedelta(hours=2)
_DELAY = timedelta(minutes=2)


def mains_limit(place: str) -> Limit:
    """The limit on a sensor that tells whether there is mains, 1 or 0."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.MAINS,
        low=0.5,
        on_delay=_DELAY,
        off_delay=_DELAY,
        priority=RATIONALE.priority,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """Lamps went dark at ``at``; they burn again from ``again_lx`` on."""

    at: datetime
    again_lx: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LampTrack:
    """What a shed's light has done; as made, nothing was seen."""

    at: datetime | None = None
    lux: float = 0.0
    meant_lit: bool = False
    stroke: Stroke | None = None


def follow_lamps(
    track: LampTrack,
    at: datetime,
    lux: float,
    *,
    meant_lit: bool,
    threshold_lx: float,
    max_gap: timedelta,
) -> LampTrack:
    """The track after one more reading [lx]; ``meant_lit``: the lamps should burn at full."""
    if track.at is not None and at <= track.at:
        return track
    stroke = track.stroke
    if stroke is not None and lux >= stroke.again_lx:
        stroke = None
    elif (
        stroke is None
        and track.at is not None
        and at - track.at <= max_gap
        and track.meant_lit
        and meant_lit
        and track.lux >= LIT_TIMES * threshold_lx
        and lux * STROKE <= track.lux
    ):
        stroke = Stroke(at=at, again_lx=track.lux / 2.0)
    return replace(track, at=at, lux=lux, meant_lit=meant_lit, stroke=stroke)


class Warmth:
    """How warm one sensor was in the hours before, five minutes by five minutes."""

    def __init__(self) -> None:
        self._told: deque[tuple[datetime, float]] = deque()

    def follow(self, at: datetime, value_c: float) -> None:
        """One reading; the lowest of each five minutes is kept."""
        if self._told and at < self._told[-1][0]:
            return
        if self._told and at - self._told[-1][0] < _APART:
            began, lowest = self._told[-1]
            self._told[-1] = (began, min(lowest, value_c))
            return
        self._told.append((at, value_c))
        while at - self._told[0][0] > _BEFORE + WITHIN:
            self._told.popleft()

    def lowest_before(self, at: datetime) -> float | None:
        """The lowest [°C] of the three hours before; None where two of them were not heard."""
        before = [one for one in self._told if at - _BEFORE <= one[0] <= at - _APART]
        if len(before) < _AT_LEAST // _APART // 2 or before[-1][0] - before[0][0] < _AT_LEAST:
            return None
        return min(value for _, value in before)


def colder_limit(place: str) -> Limit:
    """The limit on how far it is above the lowest of the hours before the lamps went dark [K]."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        low=-COLDER_K,
        on_delay=FOR,
        priority=RATIONALE.priority,
    )
