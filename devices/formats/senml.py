"""SenML packs in JSON, the native format of our own devices.

Source: RFC 8428, Sensor Measurement Lists (SenML), 2018: fields and resolving in sections
4.1 to 4.6, JSON in section 5; RFC 9100 (2021) for the meaning of ``bver``.

The resolved name splits at its last ``:`` (else at its last ``/``) into device and measure;
a name without either is a measure, and the topic tells the device. Units stay as they were
sent, but for ``%``, which RFC 8428 defines as another name of the ratio ``/`` (section 12.1,
note 1). A record may carry a sum beside its value: the value is read, the sum is not.
"""

import json
import math
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.formats.sender_name import device_of_topic, name_fault, quoted
from devices.message import Message
from devices.reading import Measurement
from devices.sensor import Feed

MAX_RECORDS = 500
MAX_UNIT_LENGTH = 32
MAX_NAME_LENGTH = 200
MAX_BOOT_LENGTH = 64

# RFC 8428, section 4.6: a time below 2**28 is relative to now.
FIRST_ABSOLUTE_TIME = 2**28
_YEAR_10000 = 253_402_300_800

# Version 10 is RFC 8428 itself; 26 adds bit 4, secondary units (RFC 9100, from memory).
HIGHEST_PLAIN_VERSION = 10
KNOWN_FEATURE_VERSIONS = frozenset((26,))

# What our own devices tell of themselves: no measurements, and no unknown measures either.
RESERVED_MEASURES = frozenset(("seq", "boot", "alive"))


class _Base(msgspec.Struct):
    bn: str | None = None
    bt: float | None = None
    bu: str | None = None
    bv: float | None = None
    bs: float | None = None
    bver: int | None = None


class _Record(_Base):
    n: str = ""
    u: str | None = None
    v: float | None = None
    vs: str | None = None
    vb: bool | None = None
    vd: str | None = None
    s: float | None = None
    t: float | None = None


_NOT_NUMBERS = ("NaN", "Infinity", "-Infinity")
_FIELDS = frozenset(_Record.__struct_fields__)
# Half a surrogate pair (RFC 8259, section 8.2) is text to Python and none to msgspec.
_MISFITS = (msgspec.ValidationError, UnicodeError)
_DECODER = msgspec.json.Decoder(list[_Record])


class _RefusedError(ValueError):
    """A record can't be used; ``rest_too`` when nothing after it can be trusted either."""

    def __init__(self, reason: str, *, rest_too: bool = False) -> None:
        super().__init__(reason)
        self.rest_too = rest_too


class Resolved(NamedTuple):
    """A record with its base fields applied; ``value`` is None where it is no number.

    ``measured_at`` is None without a time, and where a retained message gives a relative
    one: it was relative to a moment that nobody knows.
    """

    name: str
    unit: str | None
    value: float | None
    measured_at: datetime | None
    from_broker: bool = False
    text: str | None = None


def decode(feed: Feed, message: Message) -> Decoded:
    """Read a pack: measurements in the order of its records, faults in words.

    Raises:
        DecodeError: it is no SenML pack at all.
    """
    records, faults = resolve(message)
    if not records and not faults:
        raise DecodeError(message.topic, "the pack holds no value")
    measurements = []
    devices = set()
    boots: dict[str, str] = {}
    seqs: dict[str, int] = {}
    for record in records:
        device, measure = split_name(record.name)
        try:
            device = device or device_of_topic(feed, message)
        except DecodeError as error:
            faults.append(f"{quoted(record.name)}: {error.reason}")
            continue
        fault = _name_fault(device) or _measure_fault(measure)
        if fault:
            faults.append(fault)
            continue
        if not record.from_broker:
            devices.add(device)
        if measure in RESERVED_MEASURES:
            _note_run(record, measure, device, boots, seqs)
        elif record.value is not None:
            measurements.append(
                Measurement(
                    device=device,
                    measure=measure,
                    value=record.value,
                    unit=record.unit,
                    measured_at=record.measured_at,
                )
            )
    return Decoded(
        measurements=tuple(measurements),
        faults=tuple(faults),
        devices=frozenset(devices),
        senders=frozenset(devices),
        boots=boots,
        seqs=seqs,
    )


def _note_run(
    record: "Resolved", measure: str, device: str, boots: dict[str, str], seqs: dict[str, int]
) -> None:
    """What a device tells of its run; anything odd in it tells nothing."""
    if measure == "boot" and record.text:
        boots[device] = record.text[:MAX_BOOT_LENGTH]
    elif measure == "seq" and record.value is not None and 0 <= record.value < 2**53:
        seqs[device] = int(record.value)


def resolve(message: Message) -> tuple[list[Resolved], list[str]]:
    """The records of a pack with base fields applied, in its own order, and the faults.

    Raises:
        DecodeError: it is no SenML pack at all.
    """
    records = _records(message)
    if not 1 <= len(records) <= MAX_RECORDS:
        raise DecodeError(
            message.topic, f"a pack holds 1 to {MAX_RECORDS} records, this one {len(records)}"
        )
    resolver = _Resolver(message)
    resolved: list[Resolved] = []
    faults: list[str] = []
    for number, record in enumerate(records, start=1):
        try:
            found = resolver.resolve(record)
        except _RefusedError as refusal:
            faults.append(f"record {number}: {refusal}")
            if refusal.rest_too:
                faults.append(f"{len(records) - number} records after it build on it: not read")
                break
        else:
            if found is not None:
                resolved.append(found)
    return resolved, faults


@lru_cache(maxsize=4096)
def split_name(name: str) -> tuple[str, str]:
    """A resolved name as (device, measure); the device is empty when only the topic knows."""
    for separator in (":", "/"):
        device, found, measure = name.rpartition(separator)
        if found:
            return device, measure
    return "", name


def pack(
    device: str, measurements: Mapping[str, tuple[float, str | None]], at: datetime | None
) -> bytes:
    """Write a pack, as our own devices send it.

    Args:
        device: the sender.
        measurements: from measure to finite value and SenML unit; None is no unit.
        at: when they were measured; None leaves the time to the receiver.

    Raises:
        ValueError: a value is not finite, which JSON can't say.
    """
    records: list[dict[str, str | float]] = []
    for measure, (value, unit) in measurements.items():
        if not math.isfinite(value):
            raise ValueError(f"{device}: {measure} is {value}, not a number")
        record: dict[str, str | float] = {"n": measure, "v": value}
        if unit is not None:
            record["u"] = unit
        records.append(record)
    if records:
        first: dict[str, str | float] = {"bn": f"{device}:"}
        if at is not None:
            first["bt"] = at.timestamp()
        records[0] = first | records[0]
    return msgspec.json.encode(records)


def _records(message: Message) -> Sequence[_Record | Mapping[str, Any]]:
    """Typed records where the pack is in order; else its objects, to be tried one by one."""
    payload = message.payload
    # A key that ends in "_" must be understood (RFC 8428, section 12.3.1), and the typed
    # decoder does not show unknown keys; behind a backslash such a key may be escaped.
    if b'_"' not in payload and b"\\" not in payload:
        try:
            return _DECODER.decode(payload)
        except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
            pass  # one bad record, or a bad pack: the slow reader below tells them apart
    try:
        # Python's own reader takes NaN and Infinity, so that the record that holds them can
        # be refused alone; as words they fit no field of numbers. A whole number of 5,000
        # digits becomes infinite here, and is refused with its record too.
        pack_ = json.loads(payload.decode("utf-8"), parse_constant=str, parse_int=_read_int)
    except UnicodeDecodeError as error:
        raise DecodeError(message.topic, "the payload is not UTF-8 text") from error
    except RecursionError as error:
        raise DecodeError(message.topic, "the JSON is nested too deep") from error
    except ValueError as error:
        raise DecodeError(message.topic, f"the payload is not JSON: {_short(error)}") from error
    if not isinstance(pack_, list):
        raise DecodeError(message.topic, "the payload is not a SenML pack: no list of records")
    return pack_


def _read_int(digits: str) -> int | float:
    return int(digits) if len(digits) <= 18 else float(digits)


def _in_words(sent: Mapping[str, Any], error: Exception) -> str:
    if sent.get("v") in _NOT_NUMBERS:
        return f"the value {sent['v']} is not a number"
    return _short(error)


def _short(error: Exception) -> str:
    if isinstance(error, UnicodeError):
        return "half a character stands where a number should be"
    return str(error)[:120]


class _Resolver:
    """Carries base fields from record to record, as they last until they change."""

    def __init__(self, message: Message) -> None:
        self._received_at = message.received_at
        self._retained = message.retained
        self._name = ""
        self._time: float | None = None
        self._unit: str | None = None
        self._value = 0.0

    def resolve(self, sent: _Record | Mapping[str, Any]) -> Resolved | None:
        """One record; None for one that only sets base fields."""
        record = sent if type(sent) is _Record else self._convert(sent)
        if record.bver is not None:
            _refuse_unknown_version(record.bver)
        self._take_base(record)
        name = self._name + record.n
        if len(name) > MAX_NAME_LENGTH:
            raise _RefusedError(f"the name {quoted(name)} is longer than {MAX_NAME_LENGTH}")
        given = (
            (record.v is not None)
            + (record.vb is not None)
            + (record.vs is not None)
            + (record.vd is not None)
        )
        if given != 1:
            _refuse_unless_base_only(record, name, given)
            return None
        value: float | None = None
        if record.v is not None:
            value = record.v + self._value
            if not math.isfinite(value):
                raise _RefusedError(f"{quoted(name)}: the value is not a finite number")
        elif record.vb is not None:
            value = float(record.vb)
        unit = record.u if record.u is not None else self._unit
        if record.vb is not None:
            # A yes or no is no number of degrees, whatever the pack's base unit is.
            unit = None
        return Resolved(
            name=name,
            unit=unit if unit is None else _checked_unit(unit),
            value=value,
            measured_at=self._measured_at(record.t),
            text=record.vs,
            # "not alive" is the will of a device: the broker speaks, not the device.
            from_broker=record.vb is False and split_name(name)[1] == "alive",
        )

    def _convert(self, sent: object) -> _Record:
        """A record from a pack that is not all in order, with base fields kept if it is bad."""
        if not isinstance(sent, dict):
            raise _RefusedError(f"a SenML record is an object, not {type(sent).__name__}")
        strange = [key for key in sent if key.endswith("_") and key not in _FIELDS]
        if strange:
            raise _RefusedError(
                f"the field {quoted(strange[0])} must be understood, and is not known here",
                rest_too=strange[0].startswith("b"),
            )
        # Unknown keys are ignored here, so that none can spoil what is known.
        known = {key: value for key, value in sent.items() if key in _FIELDS}
        try:
            return msgspec.convert(known, _Record)
        except _MISFITS as error:
            reason = f"{quoted(sent.get('n', ''))}: {_in_words(sent, error)}"
            try:
                self._take_base(msgspec.convert(known, _Base))
            except _MISFITS as base_error:
                raise _RefusedError(_short(base_error), rest_too=True) from base_error
            raise _RefusedError(reason) from error

    def _take_base(self, record: _Record | _Base) -> None:
        if record.bn is not None:
            self._name = record.bn
        if record.bt is not None:
            self._time = record.bt
        if record.bu is not None:
            self._unit = record.bu
        if record.bv is not None:
            self._value = record.bv

    def _measured_at(self, sent: float | None) -> datetime | None:
        if sent is None:
            if self._time is None:
                return None
            seconds = self._time
        else:
            seconds = sent + (self._time or 0.0)
        if FIRST_ABSOLUTE_TIME <= seconds < _YEAR_10000:
            return datetime.fromtimestamp(seconds, UTC)
        if not -FIRST_ABSOLUTE_TIME < seconds < FIRST_ABSOLUTE_TIME:
            raise _RefusedError(f"{seconds:g} s is no time: seconds since 1970 are expected")
        if self._retained:
            return None
        return self._received_at + timedelta(seconds=seconds)


@lru_cache(maxsize=256)
def _checked_unit(unit: str) -> str:
    if len(unit) > MAX_UNIT_LENGTH or not unit.isprintable():
        raise _RefusedError(f"the unit {quoted(unit)} is none")
    return "/" if unit == "%" else unit


@lru_cache(maxsize=4096)
def _name_fault(name: str) -> str | None:
    return name_fault(name)


def _refuse_unless_base_only(record: _Record, name: str, given: int) -> None:
    if given > 1:
        raise _RefusedError(f"{quoted(name)} has {given} values, where one is allowed")
    if record.s is not None or record.bs is not None:
        raise _RefusedError(f"{quoted(name)} is a sum over time, which is no reading")
    if record.n or record.u or record.t is not None:
        raise _RefusedError(f"{quoted(name)} has no value")


def _measure_fault(measure: str) -> str | None:
    return _name_fault(measure) if measure else "a name ends with its device: no measure follows"


def _refuse_unknown_version(version: int) -> None:
    if version > HIGHEST_PLAIN_VERSION and version not in KNOWN_FEATURE_VERSIONS:
        raise _RefusedError(
            f"SenML version {version} is newer than the {HIGHEST_PLAIN_VERSION} known here",
            rest_too=True,
        )
