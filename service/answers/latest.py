"""The newest value of every series, with its age: the answer to ``latest``."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from typing_extensions import TypedDict

from devices.sensor import Sensor
from service.answers.telling import age_s, finite, rfc3339
from service.store.reading_store import Latest


class LatestAnswer(TypedDict):
    """``flag`` is the QARTOD number. ``stale`` means older than its sensor may be silent."""

    place: str
    quantity: str
    unit: str
    value: float | None
    t: str
    age_s: float
    flag: int
    stale: bool
    device: str
    reason: str


def latest(
    newest: Sequence[Latest], sensors: Sequence[Sensor], now: datetime
) -> list[LatestAnswer]:
    """One item for each series, in the store's order."""
    allowed = {sensor.device: sensor.overdue_after for sensor in sensors}
    return [_told(one, allowed, now) for one in newest]


def is_stale(one: Latest, allowed: Mapping[str, timedelta], now: datetime) -> bool:
    """Whether a value is too old to be taken for the present.

    The value's own time decides, not the last sign of life of its sensor: one quantity may
    stop while another goes on. A sensor that is set up no more is always stale.
    """
    after = allowed.get(one.series.device)
    return after is None or now - one.measured_at > after


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
