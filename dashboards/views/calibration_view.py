"""Calibrating one sensor, in words. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.calibration_facts import RawNow
from dashboards.views.local_words import MINUS, clock_time, day_word, local_day
from dashboards.views.quantity_words import quantity_words
from dashboards.views.sensors_view import age_in_words
from devices.reading import Quantity
from devices.sensor import Sensor
from service.quality.calibrating import APART
from service.settings.settings import Settings
from service.store.calibration_store import Calibration


@dataclass(frozen=True, slots=True, kw_only=True)
class NowRow:
    """What it reads now. ``why_not`` says why that can't be compared with anything.

    ``shown_as`` is what the pages show, where that is another value.
    """

    quantity: str
    words: str
    unit: str
    raw: str
    number: str
    age: str
    shown_as: str
    read_at: str
    clock: str
    why_not: str
    apart: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRow:
    """One calibration: when, of what, how, with what, what changed, and by whom."""

    when: str
    quantity: str
    method: str
    reference: str
    change: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationView:
    """``alone`` names the limits that nobody watches while it is in the jar."""

    device: str
    name: str
    place: str
    rows: tuple[NowRow, ...]
    past: tuple[PastRow, ...]
    tells_humidity: bool
    alone: str


def calibration_view(
    sensor: Sensor,
    raws: Sequence[RawNow],
    calibrations: Sequence[Calibration],
    settings: Settings,
    now: datetime,
) -> CalibrationView:
    """What it reads, and what was corrected before, the newest first."""
    zone = settings.site.timezone
    return CalibrationView(
        device=sensor.device,
        name=sensor.name or sensor.device,
        place=_stands(sensor, settings),
        rows=tuple(_row(one, now, zone) for one in raws),
        past=tuple(
            past_row(one, zone)
            for one in reversed(calibrations)
            if one.correction.device == sensor.device
        ),
        tells_humidity=any(one.quantity is Quantity.RELATIVE_HUMIDITY for one in raws),
        alone=unwatched_without(sensor, settings),
    )


def unwatched_without(sensor: Sensor, settings: Settings) -> str:
    """Where nobody watches any more while this sensor is away; empty where others do."""
    home = settings.away.get(sensor.device, sensor.place)
    others = {one.place for one in settings.sensors if one.device != sensor.device}
    limits = sum(limit.place == home for limit in settings.limits)
    if not limits or home in others:
        return ""
    names = {place.id: place.name for place in settings.places}
    return names.get(home, home)


def past_row(one: Calibration, zone: ZoneInfo) -> PastRow:
    """``77.7% now shown as 75.5%``."""
    quantity = one.correction.quantity
    day = local_day(one.made_at, zone)
    return PastRow(
        when=f"{day_word(day)} {day.year}, {clock_time(one.made_at, zone)}",
        quantity=quantity_words(quantity),
        method=one.method,
        reference=one.reference,
        change=f"{exact(one.before, quantity)} is shown as {exact(one.after, quantity)}",
        by=f"by {one.by}" if one.by else "on this machine",
    )


def exact(value: float, quantity: Quantity) -> str:
    """With one digit more than elsewhere: a calibration is about small differences."""
    return f"{value:.1f} {quantity.unit}".replace("-", MINUS)


def _stands(sensor: Sensor, settings: Settings) -> str:
    """``Shed``, or ``Salt jar; it belongs at Shed``."""
    names = {place.id: place.name for place in settings.places}
    told = names.get(sensor.place, sensor.place)
    home = settings.away.get(sensor.device)
    return told if home is None else f"{told}; it belongs at {names.get(home, home)}"


def _row(one: RawNow, now: datetime, zone: ZoneInfo) -> NowRow:
    corrected = one.raw != one.value
    return NowRow(
        quantity=one.quantity.value,
        words=quantity_words(one.quantity),
        unit=one.quantity.unit,
        raw=exact(one.raw, one.quantity),
        number=f"{one.raw:.1f}",
        age=age_in_words(one.measured_at, now),
        shown_as=exact(one.value, one.quantity) if corrected else "",
        read_at=one.measured_at.isoformat(),
        clock=clock_time(one.measured_at, zone),
        why_not=_why_not(one),
        apart=f"{APART[one.quantity]:g} {one.quantity.unit}",
    )


def _why_not(one: RawNow) -> str:
    if not one.fresh:
        return "It is too old to be compared with anything: wait until the sensor is heard again."
    return "" if one.believed else "It can't be: a sensor that reads so is broken."
