"""The shed cools faster than it does by itself. Pure.

How fast is told by the slowest of three parts of half an hour, ten minutes each: a door that is
opened for a visit makes a step in one of them, a door left open falls through all three.
"""

from collections import deque
from datetime import datetime, timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "fast-fall"

SETTABLE = Settable(
    kind=KIND,
    name="The shed cools fast",
    says="Speaks when it falls steeply for half an hour and more, and is cool already.",
    needs="a temperature sensor in the shed",
    numbers=(
        Number(
            key="fall_k_per_h",
            words="Faster than, an hour",
            unit="°",
            usual=4.0,
            least=2.0,
            most=15.0,
        ),
        Number(
            key="below_c",
            words="And colder than",
            unit="°C",
            usual=15.0,
            least=5.0,
            most=25.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="A door or vent blown open, a broken pane, or a heater that stopped in hard frost.",
    consequence="In an hour or two it is as cold inside as out: small chicks chill first.",
    response="See whether door, vents and panes are shut, and whether the heater runs.",
    respond_within=timedelta(hours=1),
    priority=Priority.MEDIUM,
    why_setpoint="A shed of wood cools by 1 to 2 degrees an hour of an evening. Twice that, for "
    "40 minutes on end and not above 15 °C, is no evening and no visit.",
    source=COMMON_PRACTICE,
)

PART = timedelta(minutes=10)
_PARTS = 3
OVER = _PARTS * PART
"""A fall is told over so long."""

_ON_DELAY = timedelta(minutes=10)
_OFF_DELAY = timedelta(minutes=20)
_HOUR = timedelta(hours=1)
_NO_FALL_K_PER_H = 0.9
_LEAST_APART = timedelta(seconds=50)
"""What comes faster adds nothing, and must not fill the memory."""


def fall_limit(place: str, *, fall_k_per_h: float) -> Limit:
    """The limit on the fall [K/h] at a shed."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        high=fall_k_per_h,
        deadband=fall_k_per_h / 2.0,
        on_delay=_ON_DELAY,
        off_delay=_OFF_DELAY,
        priority=RATIONALE.priority,
    )


class Falling:
    """How fast one sensor's temperature falls, reading by reading."""

    def __init__(self, max_gap: timedelta) -> None:
        """``max_gap``: after a longer silence nobody knows what it did meanwhile."""
        self._max_gap = max(max_gap, PART)
        self._told: deque[tuple[datetime, float]] = deque()

    def follow(self, at: datetime, value_c: float) -> float | None:
        """The fall [K/h] that each of the last three parts reached, below 0 where one rose.

        Where there is hardly any fall over all three it is that of the whole: no part of it
        need be looked at.

        None as long as half an hour was not heard without a gap.
        """
        if self._told and at - self._told[-1][0] > self._max_gap:
            self._told.clear()
        if self._told and at - self._told[-1][0] < _LEAST_APART:
            return None
        self._told.append((at, value_c))
        while len(self._told) > 1 and at - self._told[1][0] >= OVER:
            self._told.popleft()
        return self._slowest(at, value_c)

    def _slowest(self, at: datetime, value_c: float) -> float | None:
        first_at, first_c = self._told[0]
        if at - first_at < OVER:
            return None
        overall = (first_c - value_c) / ((at - first_at) / _HOUR)
        if overall <= _NO_FALL_K_PER_H:
            return overall
        slowest, later_at, later_c, part = None, at, value_c, 1
        for told_at, told_c in reversed(self._told):
            if at - told_at < part * PART:
                continue
            rate = (told_c - later_c) / ((later_at - told_at) / _HOUR)
            slowest = rate if slowest is None else min(slowest, rate)
            later_at, later_c, part = told_at, told_c, part + 1
            if part > _PARTS:
                break
        return slowest
