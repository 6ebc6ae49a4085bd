"""The newest value of every series, with its age: the answer to ``latest``."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from typing_extensions import TypedDict

from devices.reading import Quantity
from devices.sensor import Sensor
from service.answers.place_series import stands_there
from service.answers.telling import age_s, finite, rfc3339
from service.quality.judge import MAX_AHEAD
from service.store.reading_store import Latest

SELDOM_TOLD = (Quantity.BATTERY, Quantity.BATTERY_VOLTAGE, Quantity.SIGNAL)
SELDOM = timedelta(hours=25)
"""Many senders tell their battery and signal once a day (common practice, no source)."""


class LatestAnswer(TypedDict):
    """``flag`` is the QARTOD number. ``stale`` means older than its sensor may be silent."""

    place: str
    quantity: str
    unit: str
    value: float | None
    t: str
    age_s: float | None
    flag: int
    stale: bool
    device: str
    reason: str


def latest(
    newest: Sequence[Latest], sensors: Sequence[Sensor], now: datetime
) -> list[LatestAnswer]:
    """One item for each series, in the store's order.

    What a sensor told before it was taken away or moved is left out as soon as one that stands
    in its place tells the same quantity.
    """
    allowed = {sensor.device: sensor.overdue_after for sensor in sensors}
    return [_told(one, allowed, now) for one in not_followed_up(newest, sensors)]


def not_followed_up(newest: Sequence[Latest], sensors: Sequence[Sensor]) -> list[Latest]:
    """Those whose sensor stands there, and those that no other there has followed up."""
    standing = {one.series.id for one in newest if stands_there(one.series, sensors)}
    told = {(one.series.place, one.series.quantity) for one in newest if one.series.id in standing}
    return [
        one
        for one in newest
        if one.series.id in standing or (one.series.place, one.series.quantity) not in told
    ]


def is_fresh(measured_at: datetime, after: timedelta, now: datetime) -> bool:
    """Whether a value can be taken for the present: no older than ``after``.

    One that lies more than a little in the future is not: it was stamped by a clock that has
    been put right since, and nobody knows how old it is.
    """
    return -MAX_AHEAD <= now - measured_at <= after


def is_stale(one: Latest, allowed: Mapping[str, timedelta], now: datetime) -> bool:
    """Whether a value is too old to be taken for the present.

    The value's own time decides, not the last sign of life of its sensor: one quantity may
    stop while another goes on. A sensor that is set up no more is always stale. Batteries
    and signals are told seldom, and may be old.
    """
    after = allowed.get(one.series.device)
    if after is not None and one.series.quantity in SELDOM_TOLD:
        after = max(after, SELDOM)
    return after is None or not is_fresh(one.measured_at, after, now)


def _told(one: Latest, allowed: Mapping[str, timedelta], now: datetime) -> LatestAnswer:
    return LatestAnswer(
        place=one.series.place,
        quantity=one.series.quantity.value,
        unit=one.series.quantity.unit,
        value=finite(one.value),
        t=rfc3339(one.measured_at),
        age_s=age_s(one.measured_at, now),
        flag=int(one.flag),
        stale=is_stale(one, allowed, now),
        device=one.series.device,
        reason=one.reason,
    )
