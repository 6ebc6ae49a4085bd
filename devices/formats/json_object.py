"""JSON of other makers: the feed says where each quantity stands, by JSON pointers.

Source: RFC 6901, JavaScript Object Notation (JSON) Pointer, 2013. A payload may be an object
or a list; ``/0/temperature`` points into the first item.

A field is a number or a number as text ("21.4"); a yes or no only where the quantity is one.
Senders that send a part of their fields at a time are common: a missing field is no fault
where another one is there. A message without its time is taken as measured on arrival; so is
one whose time can't be read, and that is told as a fault.
"""

import math
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from jsonpointer import EndOfList, JsonPointer

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.formats.json_text import Json, read_json
from devices.formats.number_text import number_in, why_no_number
from devices.formats.sender_name import device_of_topic, name_fault, quoted
from devices.formats.sent_time import read_time
from devices.message import Message
from devices.reading import Measurement, Quantity
from devices.sensor import Feed, Field

YES_OR_NO = frozenset((Quantity.MAINS,))
"""Quantities that are nought or one, for which true and false may stand."""


class _Missing:
    """What a pointer leads to where there is nothing."""


_MISSING = _Missing()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """The pointers of a feed, compiled."""

    fields: tuple[tuple[Field, JsonPointer], ...]
    device: JsonPointer | None
    time: JsonPointer | None


class _RefusedError(ValueError):
    """A value can't be used; the message tells why."""


def decode(feed: Feed, message: Message) -> Decoded:
    """Read the fields that the feed names, in its order; faults in words.

    Raises:
        DecodeError: it is no JSON, none of the fields is in it, or nothing tells the device.
    """
    plan = _plan(feed)
    device = None if plan.device is not None else device_of_topic(feed, message)
    try:
        content = read_json(message.topic, message.payload)
    except DecodeError as error:
        raise DecodeError(message.topic, error.reason, device=device) from error
    found = [(field, resolve(content, pointer)) for field, pointer in plan.fields]
    there = [(field, value) for field, value in found if not isinstance(value, _Missing)]
    if device is None:
        device = _device_within(plan, feed, message, content)
    if not there:
        raise DecodeError(message.topic, _nothing_there(plan), device=device)
    faults = []
    measured_at = None
    try:
        measured_at = _time(plan, content)
    except ValueError as error:
        faults.append(f"{feed.time_pointer}: {error}; the arrival stands in for it")
    measurements = []
    for field, value in there:
        try:
            measurements.append(_measurement(device, field, value, measured_at))
        except _RefusedError as refusal:
            faults.append(f"{_told(field.pointer)}: {refusal}")
    return Decoded(
        measurements=tuple(measurements),
        faults=tuple(faults),
        devices=frozenset((device,) if measurements else ()),
        senders=frozenset((device,)),
    )


def resolve(content: Json, pointer: JsonPointer) -> Json | _Missing:
    """What the pointer leads to. The place behind the last item of a list is nothing."""
    found: Json | EndOfList | _Missing = pointer.resolve(content, _MISSING)
    return _MISSING if isinstance(found, EndOfList) else found


@lru_cache(maxsize=256)
def _plan(feed: Feed) -> _Plan:
    return _Plan(
        fields=tuple((field, JsonPointer(field.pointer)) for field in feed.fields),
        device=None if feed.device_pointer is None else JsonPointer(feed.device_pointer),
        time=None if feed.time_pointer is None else JsonPointer(feed.time_pointer),
    )


def _nothing_there(plan: _Plan) -> str:
    pointers = [_told(field.pointer) for field, _ in plan.fields]
    if not pointers:
        return "the feed names no field to read"
    listed = ", ".join(pointers[:5]) + (", …" if len(pointers) > 5 else "")
    return f"nothing stands at {listed}"


def _told(pointer: str) -> str:
    return quoted(pointer, 80) if pointer else "the whole payload"


def _device_within(plan: _Plan, feed: Feed, message: Message, content: Json) -> str:
    where = f"at {_told(feed.device_pointer or '')}, where the device's name should be,"
    value = _MISSING if plan.device is None else resolve(content, plan.device)
    if isinstance(value, _Missing):
        raise DecodeError(message.topic, f"{where} nothing stands")
    if not isinstance(value, str | int) or isinstance(value, bool):
        raise DecodeError(message.topic, f"{where} stands {_kind_told(value)}")
    fault = name_fault(str(value))
    if fault is not None:
        raise DecodeError(message.topic, f"{where} {fault}")
    return str(value)


def _time(plan: _Plan, content: Json) -> datetime | None:
    if plan.time is None:
        return None
    sent = resolve(content, plan.time)
    return None if sent is None or isinstance(sent, _Missing) else read_time(sent)


def _measurement(
    device: str, field: Field, value: Json, measured_at: datetime | None
) -> Measurement:
    return Measurement(
        device=device,
        measure=field.quantity.value,
        value=_number(field.quantity, value),
        unit=field.unit,
        measured_at=measured_at,
    )


def _number(quantity: Quantity, value: Json) -> float:
    if isinstance(value, bool):
        if quantity in YES_OR_NO:
            return float(value)
        raise _RefusedError(f"{quantity} is {str(value).lower()}, where a number should be")
    if isinstance(value, str):
        number = number_in(value)
        if number is None:
            raise _RefusedError(f"{quoted(value)} is no number{why_no_number(value.strip())}")
        return number
    if not isinstance(value, int | float):
        raise _RefusedError(f"{_kind_told(value)} stands where a number should be")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _RefusedError("the number is too large")
    return number


def _kind_told(value: Json) -> str:
    if value is None:
        return "null"
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    return quoted(value)
