"""Decides a reading's flag: what the quantity can be, and whether its time can be. Pure.

The tests are those of the IOOS QARTOD manuals called gross range (a span that fails and,
inside it, a span that passes; between them suspect) and timing. Repeats are not judged
here: the store knows a reading again. A reading is flagged, never dropped, and never changed
but for a time that can't be believed.

This is what can be told of one reading alone. What the readings before it and beside it tell
is judged in ``judging.py``.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from types import MappingProxyType

from devices.reading import Quantity, Reading
from service.quality.flag import Flag, Judged

MAX_AHEAD = timedelta(minutes=5)
MAX_BEHIND = timedelta(days=400)
HISTORY_AFTER = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Span:
    """What a quantity can be, in its own unit: ``usual`` passes, outside ``possible`` fails."""

    possible: tuple[float, float]
    usual: tuple[float, float]


SPANS: Mapping[Quantity, Span] = MappingProxyType(
    {
        # Possible: what a DS18B20 can measure (its data sheet). A fire must not fail, so the
        # upper end is the sensor's, not the shed's. Usual: common practice, no source.
        Quantity.TEMPERATURE: Span((-55.0, 125.0), (-40.0, 60.0)),
        # By definition 0 to 100; sensors overshoot a little when wet (common practice, no
        # source for the 5).
        Quantity.RELATIVE_HUMIDITY: Span((-5.0, 105.0), (0.0, 100.0)),
        # Sun at noon is about 100,000 lx (common practice, no source).
        Quantity.ILLUMINANCE: Span((0.0, 200_000.0), (0.0, 150_000.0)),
        # A scale that is not zeroed may read below nought; a wet nest box with bedding weighs
        # a few kg (common practice, no source).
        Quantity.MASS: Span((-5_000.0, 50_000.0), (-100.0, 10_000.0)),
        # Possible: what a BME280 can measure (its data sheet). Usual: low pressure at 1,500 m
        # to high at sea level (common practice, no source).
        Quantity.PRESSURE: Span((30_000.0, 110_000.0), (80_000.0, 109_000.0)),
        # A full battery on its charger may be told as a little over 100 (common practice).
        Quantity.BATTERY: Span((0.0, 110.0), (0.0, 100.0)),
        # From a button cell to a 48 V bank (common practice, no source).
        Quantity.BATTERY_VOLTAGE: Span((0.0, 60.0), (0.0, 60.0)),
        # Possible: what optical sensors measure (from memory). Usual: free air is above 400
        # (from memory), a sensor out of adjustment a little below.
        Quantity.CO2: Span((0.0, 40_000.0), (300.0, 10_000.0)),
        Quantity.MAINS: Span((0.0, 1.0), (0.0, 1.0)),
        # One circuit of a house carries about 3.7 kW (common practice, no source).
        Quantity.LAMP_POWER: Span((0.0, 20_000.0), (0.0, 4_000.0)),
        # How strongly its radio is received: long-range radios are heard down to about -140,
        # and nothing in a shed is received with more than a milliwatt (from memory).
        Quantity.SIGNAL: Span((-150.0, 20.0), (-140.0, 0.0)),
    }
)


def judge(reading: Reading) -> Judged:
    """Flag a reading.

    A time more than 5 minutes after its arrival, or more than 400 days before, is not
    believed: the arrival stands in for it, ``stamped_at`` keeps what the sender said, and
    the flag is at least SUSPECT.
    """
    return judged_as(reading, *judge_value(reading), time_doubt(reading))


def judged_as(reading: Reading, flag: Flag, reasons: str, time_reason: str) -> Judged:
    """The reading with the flag of its value; ``time_reason`` is its ``time_doubt``."""
    value_flag = None
    if time_reason:
        value_flag = flag
        reading = replace(reading, measured_at=reading.received_at, stamped_at=reading.measured_at)
        flag = max(flag, Flag.SUSPECT)
        reasons = f"{reasons}; {time_reason}" if reasons else time_reason
    return Judged(reading=reading, flag=flag, reason=reasons, value_flag=value_flag)


def believed_time(reading: Reading) -> datetime:
    """When it was measured; its arrival, where the sender's time can't be believed."""
    return reading.received_at if time_doubt(reading) else reading.measured_at


def is_history(reading: Reading) -> bool:
    """It was more than 24 hours old when it arrived: it is kept, and drives no rule."""
    return reading.received_at - reading.measured_at > HISTORY_AFTER


def judge_value(reading: Reading) -> tuple[Flag, str]:
    """The flag of its value alone, and why: test 4 of the manuals, gross range."""
    quantity = reading.quantity
    value = reading.value
    span = SPANS[quantity]
    # Written as "not inside", so that a value that compares with nothing can't pass.
    if quantity is Quantity.MAINS and value not in (0.0, 1.0):
        return Flag.FAIL, f"{quantity} is {value:g}, neither 0 nor 1"
    if not span.possible[0] <= value <= span.possible[1]:
        return Flag.FAIL, _outside(reading, span.possible, "what can be")
    if not span.usual[0] <= value <= span.usual[1]:
        return Flag.SUSPECT, _outside(reading, span.usual, "what is usual")
    return Flag.PASS, ""


def _outside(reading: Reading, span: tuple[float, float], what: str) -> str:
    unit = reading.quantity.unit
    low, high = span
    return (
        f"{reading.quantity} {_rounded(reading.value)} {unit} is outside {what}, "
        f"{low:g} to {high:g} {unit}"
    )


def _rounded(value: float) -> str:
    return f"{value:.6g}" if math.isfinite(value) else str(value)


def time_doubt(reading: Reading) -> str:
    """Why the sender's time can't be believed; empty where it can."""
    ahead = reading.measured_at - reading.received_at
    if ahead > MAX_AHEAD:
        beyond = "more than 5 minutes ahead"
    elif -ahead > MAX_BEHIND:
        beyond = "more than 400 days back"
    else:
        return ""
    stamp = reading.measured_at.isoformat(timespec="seconds")
    return f"its time {stamp} is {beyond}: the arrival stands in for it"
