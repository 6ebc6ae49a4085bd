"""One new reading against what is remembered: which doubts there are, in words.

The tests themselves are in ``qartod.py``, their parameters in ``terms.py``.
"""

from math import inf

from devices.reading import Quantity
from service.quality.doubt import Doubt
from service.quality.flag import Flag
from service.quality.memory import Memory
from service.quality.neighbours import Moved, Neighbours
from service.quality.qartod import (
    attenuated_signal,
    climatology,
    flat_line,
    multi_variate,
    neighbour,
    rate_of_change,
)
from service.quality.terms import (
    APART_FOR_S,
    DULL_HOURS,
    FAHRENHEIT_LEAST_C,
    FAHRENHEIT_NEAR_C,
    FAHRENHEIT_WITHIN_S,
    HOUR_S,
    JUMP_WITHIN_S,
    LEAST_SAME,
    POWER_ON_APART_C,
    POWER_ON_C,
    UNUSUAL_AT_MOST_S,
    WET_AT_PCT,
    WET_FOR_S,
)

_SUSPECT = Flag.SUSPECT
_BATTERY = (Quantity.BATTERY, Quantity.BATTERY_VOLTAGE)


def just_switched_on(memory: Memory, at: float, neighbours: Neighbours | None) -> str:
    """Why 85 °C exactly is no measurement; empty where it may be one.

    A fire comes to 85 °C by way of 60 and 70, and goes on. Where neither the reading before
    nor the neighbours contradict it, it stays a danger.
    """
    if memory.quantity is not Quantity.TEMPERATURE:
        return ""
    usual = memory.value if memory.heard else None
    if usual is None and neighbours is not None:
        usual = neighbours.typical_c(at, memory)
    if usual is None or abs(usual - POWER_ON_C) <= POWER_ON_APART_C:
        return ""
    return (
        f"{Doubt.POWER_ON}: 85 °C exactly is what a thermometer says that has not measured "
        f"yet, and {usual:.1f} °C is likely. Look at its wires if it comes again"
    )


def against_before(memory: Memory, value: float, raw: float, at: float, found: list[str]) -> None:
    """Doubts from the readings of the same device, added to ``found``."""
    if memory.same and raw == memory.raw:
        _still(memory, value, raw, at, found)
    elif (abs(value - memory.value) > memory.terms.jump[0] or memory.fahrenheit) and memory.heard:
        _moved(memory, value, at, found)
    if memory.quantity is Quantity.RELATIVE_HUMIDITY:
        _damp(memory, value, raw, at, found)
    if memory.past.spread < memory.terms.dull and not found:
        _dull(memory, value, found)
    if memory.fahrenheit:
        found.append(_in_fahrenheit(value))
    if memory.source.dying and memory.quantity not in _BATTERY:
        found.append(memory.source.dying)


def _still(memory: Memory, value: float, raw: float, at: float, found: list[str]) -> None:
    terms = memory.terms
    same_for_s = at - memory.same_since
    if same_for_s < terms.flat_s or value <= terms.flat_above:
        return
    after_s = terms.flat_s
    if memory.finest >= terms.coarse_step:
        after_s = max(terms.coarse_flat_s, 2.0 * memory.quietest_s)
    if flat_line(same_for_s, memory.same + 1, after_s, LEAST_SAME) is _SUSPECT and (
        memory.quantity is not Quantity.RELATIVE_HUMIDITY or raw < WET_AT_PCT
    ):
        found.append(
            f"{Doubt.STUCK}: {value:.6g} {memory.quantity.unit} without the least change for "
            f"{_long(same_for_s)}"
        )


def _long(span_s: float) -> str:
    return f"{span_s / 60:.0f} minutes" if span_s < 2 * HOUR_S else f"{span_s / HOUR_S:.0f} hours"


def _moved(memory: Memory, value: float, at: float, found: list[str]) -> None:
    terms, moved, within_s = memory.terms, value - memory.value, at - memory.at
    if memory.quantity is Quantity.TEMPERATURE:
        _note_fahrenheit(memory, value, within_s)
        memory.source.jumped_at, memory.source.jump_c = at, moved
    if rate_of_change(moved, within_s, terms.jump, JUMP_WITHIN_S) is _SUSPECT:
        found.append(
            f"{Doubt.JUMP}: from {memory.value:.6g} to {value:.6g} {memory.quantity.unit} "
            f"within {within_s:.0f} s"
        )


def _note_fahrenheit(memory: Memory, value: float, within_s: float) -> None:
    """It begins when one reading is the one before in °F, and ends when °C fits better again."""
    before = memory.value
    if memory.fahrenheit:
        truly = _celsius(before)
        memory.fahrenheit = abs(_celsius(value) - truly) < abs(value - truly)
    elif within_s <= FAHRENHEIT_WITHIN_S and value - before > FAHRENHEIT_LEAST_C:
        memory.fahrenheit = abs(value - (1.8 * before + 32.0)) <= FAHRENHEIT_NEAR_C


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def _in_fahrenheit(value: float) -> str:
    return (
        f"{Doubt.FAHRENHEIT}: {value:.1f} would be {_celsius(value):.1f} °C. Set the sensor, or "
        "its feed, to °C"
    )


def _damp(memory: Memory, value: float, raw: float, at: float, found: list[str]) -> None:
    """A sensor with water on it says 100 % for hours; and what jumps goes with temperature."""
    if raw < WET_AT_PCT:
        memory.wet_since = None
    elif memory.wet_since is None:
        memory.wet_since = at
    elif at - memory.wet_since > WET_FOR_S:
        found.append(
            f"{Doubt.WET}: {value:.6g} % for {_long(at - memory.wet_since)}, and a "
            "wet sensor says so until it is dry"
        )
    source = memory.source
    if source.jumped_at == at and memory.heard:
        moved = value - memory.value
        if multi_variate(source.jump_c, moved, value) is _SUSPECT:
            found.append(
                f"{Doubt.ALONE}: temperature moved by {source.jump_c:.1f} °C at the same time"
            )


def _dull(memory: Memory, value: float, found: list[str]) -> None:
    """Only of a sensor whose steps are fine: of a coarse one, and of one that has not moved at
    all, ``_still`` tells.
    """
    terms = memory.terms
    if memory.finest >= terms.coarse_step:
        return
    if memory.quantity is Quantity.RELATIVE_HUMIDITY and value >= WET_AT_PCT:
        return
    now = (min(value, memory.hour_low), max(value, memory.hour_high))
    spans = [*((hour.low, hour.high) for hour in memory.past.recent), now]
    if attenuated_signal(spans, DULL_HOURS, terms.dull) is _SUSPECT:
        found.append(
            f"{Doubt.DULL}: less than {terms.dull:g} {memory.quantity.unit} in {DULL_HOURS} hours"
        )


def against_others(
    memory: Memory, value: float, at: float, neighbours: Neighbours | None, found: list[str]
) -> None:
    """Doubts from the other sensors of the shed, and from its own last weeks."""
    past, terms = memory.past, memory.terms
    if terms.unusual is not None and past.low is not None and past.high is not None:
        if climatology(value, past.low, past.high, terms.unusual) is not _SUSPECT:
            memory.odd_since = None
        else:
            memory.odd_since = at if memory.odd_since is None else memory.odd_since
            if at - memory.odd_since <= UNUSUAL_AT_MOST_S:
                found.append(
                    f"{Doubt.UNUSUAL}: {value:.6g} {memory.quantity.unit}, and the last "
                    f"{len(past.days) - 1} days held {past.low:.1f} to {past.high:.1f}"
                )
    if memory.fahrenheit and neighbours is not None:
        _note_celsius(memory, value, at, neighbours)
    if neighbours is not None and past.level is not None:
        _apart(memory, value - past.level, at, neighbours, found)


def _note_celsius(memory: Memory, value: float, at: float, neighbours: Neighbours) -> None:
    """The others may show that it is °C after all."""
    usual = neighbours.typical_c(at, memory)
    if usual is not None and abs(value - usual) < abs(_celsius(value) - usual):
        memory.fahrenheit = False


def _apart(memory: Memory, off: float, at: float, neighbours: Neighbours, found: list[str]) -> None:
    moved = neighbours.moved(at)
    departs = 0.0 if moved is None else _departs(memory, off, moved)
    allowed = inf if moved is None else _allowed(memory, departs, moved)
    if abs(departs) <= allowed:
        memory.apart_since = None
        return
    memory.apart_since = at if memory.apart_since is None else memory.apart_since
    if neighbour(departs, allowed, at - memory.apart_since, APART_FOR_S) is _SUSPECT:
        side = "more" if departs > 0.0 else "less"
        found.append(
            f"{Doubt.APART}: {abs(departs):.1f} {memory.quantity.unit} {side} than they make likely"
        )


def _departs(memory: Memory, off: float, moved: Moved) -> float:
    """A box that is like the shed, or like the other boxes, is not apart."""
    departs = off - moved.by_k
    if not memory.in_box or moved.in_the_open_k is None:
        return departs
    return min(departs, off - moved.in_the_open_k, key=abs)


def _allowed(memory: Memory, departs: float, moved: Moved) -> float:
    """How far it may be off: by what a hen does to it, and to those that it is compared with."""
    terms = memory.terms
    if moved.by_boxes and (not memory.in_box or moved.in_the_open_k is None):
        return max(terms.apart or 0.0, *terms.apart_in_box)
    return terms.apart_in_box[departs > 0.0] if memory.in_box else terms.apart or 0.0
