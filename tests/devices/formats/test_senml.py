"""SenML against the examples of RFC 8428, and the rules that it states.

RFC 8428, Sensor Measurement Lists (SenML), August 2018. The section of an example stands
beside it. The resolved form must be in time order, so both sides are sorted before they are
compared (the example of 5.1.2 lists its latest record first).
"""

import json
import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.formats.decoded import Decoded
from devices.formats.senml import pack, resolve, split_name
from devices.message import Message
from devices.reading import Measurement
from devices.sensor import Feed, Format

FEED = Feed(topic="clutchweather/+/senml", format=Format.SENML)
NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)


def message(payload: str | bytes, *, retained: bool = False, topic: str = "th-1") -> Message:
    raw = payload.encode() if isinstance(payload, str) else payload
    return Message(
        topic=f"clutchweather/{topic}/senml", payload=raw, received_at=NOW, retained=retained
    )


def read(payload: str | bytes, *, retained: bool = False) -> Decoded:
    return decode(FEED, message(payload, retained=retained))


def only(payload: str) -> Measurement:
    decoded = read(payload)
    assert decoded.faults == ()
    (measurement,) = decoded.measurements
    return measurement


def unix(seconds: float) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)


# (section of RFC 8428, pack, resolved records as (name, unit, value, time))
EXAMPLES = [
    pytest.param(
        '[{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}]',
        [("urn:dev:ow:10e2073a01080063", "Cel", 23.1, None)],
        id="5.1.1",
    ),
    pytest.param(
        '[{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},'
        '{"n":"current","u":"A","v":1.2}]',
        [
            ("urn:dev:ow:10e2073a01080063:voltage", "V", 120.1, None),
            ("urn:dev:ow:10e2073a01080063:current", "A", 1.2, None),
        ],
        id="5.1.2-first",
    ),
    pytest.param(
        '[{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,'
        '"n":"voltage","u":"V","v":120.1},'
        '{"n":"current","t":-5,"v":1.2},{"n":"current","t":-4,"v":1.3},'
        '{"n":"current","t":-3,"v":1.4},{"n":"current","t":-2,"v":1.5},'
        '{"n":"current","t":-1,"v":1.6},{"n":"current","v":1.7}]',
        [
            ("urn:dev:ow:10e2073a0108006:voltage", "V", 120.1, 1276020076.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.2, 1276020071.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.3, 1276020072.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.4, 1276020073.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.5, 1276020074.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.6, 1276020075.001),
            ("urn:dev:ow:10e2073a0108006:current", "A", 1.7, 1276020076.001),
        ],
        id="5.1.2-second",
    ),
    pytest.param(
        # The example without its rows of longitude and latitude.
        '[{"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},'
        '{"t":60,"v":20.3},{"t":120,"v":20.7},{"u":"%EL","t":150,"v":98},{"t":180,"v":21.2}]',
        [
            ("urn:dev:ow:10e2073a01080063", "%RH", 20.0, 1320067464.0),
            ("urn:dev:ow:10e2073a01080063", "%RH", 20.3, 1320067524.0),
            ("urn:dev:ow:10e2073a01080063", "%RH", 20.7, 1320067584.0),
            ("urn:dev:ow:10e2073a01080063", "%EL", 98.0, 1320067614.0),
            ("urn:dev:ow:10e2073a01080063", "%RH", 21.2, 1320067644.0),
        ],
        id="5.1.3",
    ),
    pytest.param(
        '[{"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},'
        '{"n":"humidity","u":"%RH","v":30},'
        '{"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},'
        '{"n":"humidity","u":"%RH","v":67}]',
        [
            ("2001:db8::2/temperature", "Cel", 25.2, 1320078429.0),
            ("2001:db8::2/humidity", "%RH", 30.0, 1320078429.0),
            ("2001:db8::1/temperature", "Cel", 12.3, 1320078429.0),
            ("2001:db8::1/humidity", "%RH", 67.0, 1320078429.0),
        ],
        id="5.1.6",
    ),
    pytest.param(
        '[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},'
        '{"n":"label","vs":"Machine Room"},{"n":"open","vb":false},'
        '{"n":"nfv-reader","vd":"aGkgCg"}]',
        [
            ("urn:dev:ow:10e2073a01080063:temp", "Cel", 23.1, None),
            ("urn:dev:ow:10e2073a01080063:label", None, None, None),
            ("urn:dev:ow:10e2073a01080063:open", None, 0.0, None),
            ("urn:dev:ow:10e2073a01080063:nfv-reader", None, None, None),
        ],
        id="5.1.5",
    ),
]


def _in_order(rows: list[tuple[object, ...]]) -> list[str]:
    return sorted(repr(row) for row in rows)


@pytest.mark.parametrize(("payload", "expected"), EXAMPLES)
def test_pack_resolves_as_in_the_rfc(
    payload: str, expected: list[tuple[str, str | None, float | None, float | None]]
) -> None:
    records, faults = resolve(message(payload))
    assert faults == []
    assert _in_order([(r.name, r.unit, r.value, r.measured_at) for r in records]) == _in_order(
        [(n, u, v, None if t is None else unix(t)) for n, u, v, t in expected]
    )


def test_labels_and_data_are_no_readings() -> None:
    decoded = read(
        '[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},'
        '{"n":"label","vs":"Machine Room"},{"n":"open","vb":false},'
        '{"n":"nfv-reader","vd":"aGkgCg"}]'
    )
    assert [(m.measure, m.value) for m in decoded.measurements] == [("temp", 23.1), ("open", 0.0)]
    assert decoded.faults == ()


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("th-shed:temperature", ("th-shed", "temperature")),
        ("hall/th-shed:temperature", ("hall/th-shed", "temperature")),
        ("urn:dev:ow:10e2:temp", ("urn:dev:ow:10e2", "temp")),
        ("hall/th-shed/temperature", ("hall/th-shed", "temperature")),
        ("temperature", ("", "temperature")),
        ("th-shed:", ("th-shed", "")),
    ],
)
def test_name_splits_at_its_last_colon_else_its_last_slash(
    name: str, expected: tuple[str, str]
) -> None:
    assert split_name(name) == expected


def test_device_comes_from_the_topic_when_the_name_has_none() -> None:
    assert only('[{"n":"temperature","u":"Cel","v":1}]').device == "th-1"


def test_device_in_the_name_goes_before_the_topic() -> None:
    assert only('[{"n":"th-2:temperature","u":"Cel","v":1}]').device == "th-2"


def test_topic_that_can_not_be_a_name_costs_only_what_needs_it() -> None:
    decoded = decode(
        FEED,
        message('[{"n":"a","v":1},{"n":"th-2:b","v":2}]', topic="<b>th</b>"),
    )
    assert [m.device for m in decoded.measurements] == ["th-2"]
    assert len(decoded.faults) == 1
    assert "in the topic" in decoded.faults[0]


# RFC 8428, section 4.6: below 2**28 relative to now, from there on absolute;
# 2**28 s after 1970 is 1978-07-04T21:24:16Z.
@pytest.mark.parametrize(
    ("t", "expected"),
    [
        ("268435456", datetime(1978, 7, 4, 21, 24, 16, tzinfo=UTC)),
        ("268435455", NOW + timedelta(seconds=268435455)),
        ("0", NOW),
        ("-60", NOW - timedelta(seconds=60)),
        ("-0.5", NOW - timedelta(seconds=0.5)),
        ("1772398800", NOW),
        ("1.7723988e9", NOW),
    ],
)
def test_time_is_relative_to_arrival_below_two_to_the_28(t: str, expected: datetime) -> None:
    assert only(f'[{{"n":"a","v":1,"t":{t}}}]').measured_at == expected


def test_sum_of_base_and_own_time_decides_whether_it_is_relative() -> None:
    assert only('[{"bt":268435400,"n":"a","v":1,"t":56}]').measured_at == datetime(
        1978, 7, 4, 21, 24, 16, tzinfo=UTC
    )


def test_no_time_at_all_is_none() -> None:
    assert only('[{"n":"a","v":1}]').measured_at is None


def test_relative_time_of_a_retained_message_is_none() -> None:
    decoded = read('[{"n":"a","v":1,"t":-60}]', retained=True)
    assert decoded.measurements[0].measured_at is None


def test_absolute_time_of_a_retained_message_is_kept() -> None:
    decoded = read('[{"n":"a","v":1,"t":1772398800}]', retained=True)
    assert decoded.measurements[0].measured_at == NOW


@pytest.mark.parametrize("t", ["1772398800000", "1e300", "-1e300", "-268435456", "1e999"])
def test_impossible_time_is_a_fault(t: str) -> None:
    decoded = read(f'[{{"n":"a","v":1,"t":{t}}},{{"n":"b","v":2}}]')
    assert [m.measure for m in decoded.measurements] == ["b"]
    assert "is no time" in decoded.faults[0]


def test_base_value_is_added() -> None:
    decoded = read('[{"bv":20,"n":"a","v":1.5},{"n":"b","v":-1},{"bv":0,"n":"c","v":3}]')
    assert [m.value for m in decoded.measurements] == [21.5, 19.0, 3.0]


def test_own_unit_goes_before_base_unit() -> None:
    decoded = read('[{"bu":"Cel","n":"a","v":1},{"n":"b","u":"%RH","v":2},{"n":"c","v":3}]')
    assert [m.unit for m in decoded.measurements] == ["Cel", "%RH", "Cel"]


def test_percent_sign_is_the_ratio() -> None:
    # RFC 8428, section 12.1, note 1: "%" is another name of "/", not a percentage.
    assert only('[{"n":"a","u":"%","v":0.5}]').unit == "/"


def test_boolean_has_no_unit_whatever_the_pack_says() -> None:
    assert only('[{"bu":"Cel","n":"th-2:temperature","vb":true}]').unit is None


@pytest.mark.parametrize(("vb", "value"), [("true", 1.0), ("false", 0.0)])
def test_boolean_is_one_or_nought(vb: str, value: float) -> None:
    assert only(f'[{{"n":"mains","vb":{vb}}}]').value == value


def test_record_of_base_fields_alone_is_no_fault() -> None:
    assert only('[{"bn":"th-2:","bt":1772398800},{"n":"a","v":1}]') == Measurement(
        device="th-2", measure="a", value=1.0, unit=None, measured_at=NOW
    )


def test_unknown_fields_are_ignored() -> None:
    assert only('[{"n":"a","v":1,"ut":5,"colour":{"of":["it"]}}]').value == 1.0


# RFC 8428, section 12.3.1: a field that ends in "_" must be understood.
@pytest.mark.parametrize("key", ["must_", "must\\u005f", "ct_"])
def test_mandatory_unknown_field_refuses_its_record_alone(key: str) -> None:
    decoded = read(f'[{{"n":"a","v":1,"{key}":1}},{{"n":"b","v":2}}]')
    assert [m.measure for m in decoded.measurements] == ["b"]
    assert "must be understood" in decoded.faults[0]


def test_mandatory_unknown_base_field_refuses_what_follows_too() -> None:
    decoded = read('[{"n":"a","v":1},{"n":"b","v":2,"bx_":1},{"n":"c","v":3}]')
    assert [m.measure for m in decoded.measurements] == ["a"]
    assert len(decoded.faults) == 2


@pytest.mark.parametrize("version", [1, 5, 10, 26])
def test_known_versions_are_read(version: int) -> None:
    assert only(f'[{{"bver":{version},"n":"a","v":1}}]').value == 1.0


@pytest.mark.parametrize("version", [11, 12, 42, 10**30])
def test_newer_version_is_refused_with_all_that_follows(version: int) -> None:
    decoded = read(f'[{{"bver":{version},"n":"a","v":1}},{{"n":"b","v":2}}]')
    assert decoded.measurements == ()
    assert len(decoded.faults) == 2


def test_sum_beside_a_value_is_ignored() -> None:
    assert only('[{"n":"energy","u":"J","v":3,"s":100}]').value == 3.0


@pytest.mark.parametrize("record", ['"s":100', '"bs":90,"s":10', '"bs":90'])
def test_sum_alone_is_a_fault_in_words(record: str) -> None:
    decoded = read(f'[{{"n":"energy",{record}}},{{"n":"b","v":2}}]')
    assert [m.measure for m in decoded.measurements] == ["b"]
    assert "sum" in decoded.faults[0]


def test_bad_record_keeps_its_base_fields_for_its_neighbours() -> None:
    decoded = read('[{"bn":"th-2:","bu":"Cel","n":"a","v":"21"},{"n":"b","v":2}]')
    assert [(m.device, m.measure, m.unit) for m in decoded.measurements] == [("th-2", "b", "Cel")]
    assert len(decoded.faults) == 1


def test_records_after_unreadable_base_fields_are_not_guessed() -> None:
    decoded = read('[{"n":"th-9:a","v":1},{"bn":5,"n":"b","v":2},{"n":"c","v":3}]')
    assert [m.measure for m in decoded.measurements] == ["a"]
    assert "build on it" in decoded.faults[1]


@pytest.mark.parametrize("bad", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 5000])
def test_number_that_is_none_costs_no_neighbour(bad: str) -> None:
    decoded = read(f'[{{"n":"a","v":1}},{{"n":"b","v":{bad}}},{{"n":"c","v":3}}]')
    assert [m.measure for m in decoded.measurements] == ["a", "c"]
    assert "not a" in decoded.faults[0]


def test_last_of_two_equal_keys_counts() -> None:
    assert only('[{"n":"a","v":1,"v":2}]').value == 2.0


def test_reserved_measures_are_a_sign_of_life_and_no_measurement() -> None:
    decoded = read('[{"bn":"th-2:","n":"seq","v":7},{"n":"boot","vs":"x"},{"n":"alive","vb":true}]')
    alone = frozenset({"th-2"})
    assert decoded == Decoded(devices=alone, senders=alone, boots={"th-2": "x"}, seqs={"th-2": 7})


@pytest.mark.parametrize(
    "odd",
    ['{"n":"seq","vs":"x"}', '{"n":"seq","v":-1}', '{"n":"seq","v":1e300}', '{"n":"boot","v":3}'],
)
def test_an_odd_run_of_a_device_tells_nothing(odd: str) -> None:
    decoded = read(f'[{{"bn":"th-2:","n":"a","v":1}},{odd}]')
    assert (decoded.boots, decoded.seqs) == ({}, {})
    assert len(decoded.measurements) == 1


def test_each_device_of_a_pack_tells_its_own_run() -> None:
    decoded = read('[{"n":"a:boot","vs":"x"},{"n":"b:boot","vs":"y"},{"n":"b:seq","v":3}]')
    assert (decoded.boots, decoded.seqs) == ({"a": "x", "b": "y"}, {"b": 3})


def test_last_will_is_no_sign_of_life() -> None:
    assert read('[{"bn":"th-2:","n":"alive","vb":false}]') == Decoded()


def test_record_that_was_refused_is_no_sign_of_life() -> None:
    assert read('[{"bn":"th-2:","n":"a","v":"x"}]').devices == frozenset()


def test_pack_that_says_nothing_is_refused() -> None:
    with pytest.raises(DecodeError, match="no value"):
        read('[{"bn":"th-2:"}]')


def test_500_records_are_read() -> None:
    decoded = read("[" + ",".join(['{"n":"a","v":1}'] * 500) + "]")
    assert len(decoded.measurements) == 500


names = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9\-._]{0,40}", fullmatch=True)
values = st.floats(allow_nan=False, allow_infinity=False)
units = st.sampled_from(["Cel", "%RH", "lx", "g", "Pa", "V", "%EL", "ppm", "W", "/", None])
# Whole milliseconds: what readings.db keeps; from 2**28 s on, where times are absolute.
times = st.integers(min_value=2**28 * 1000, max_value=4_102_444_800_000).map(
    lambda ms: datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=ms)
)


@settings(deadline=None)
@given(names, st.dictionaries(names, st.tuples(values, units), min_size=1, max_size=8), times)
def test_pack_reads_back_as_it_was_written(
    device: str, told: dict[str, tuple[float, str | None]], at: datetime
) -> None:
    told = {measure: said for measure, said in told.items() if measure not in RESERVED}
    decoded = decode(FEED, message(pack(device, told, at))) if told else Decoded()
    assert decoded.faults == ()
    assert [(m.device, m.measure, m.value, m.unit) for m in decoded.measurements] == [
        (device, measure, value, unit) for measure, (value, unit) in told.items()
    ]
    for measurement in decoded.measurements:
        assert measurement.measured_at is not None
        assert abs(measurement.measured_at - at) < timedelta(milliseconds=0.5)


RESERVED = {"seq", "boot", "alive"}


def test_pack_refuses_what_json_can_not_say() -> None:
    with pytest.raises(ValueError, match="th-1: a is nan"):
        pack("th-1", {"a": (math.nan, "Cel")}, NOW)


@settings(deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8")))
def test_whatever_the_bytes_only_a_decode_error_comes_out(payload: bytes) -> None:
    try:
        decoded = read(payload)
    except DecodeError:
        return
    assert decoded.measurements or decoded.faults or decoded.devices


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=10),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=8,
)
fields = st.sampled_from(
    ["bn", "bt", "bu", "bv", "bs", "bver", "n", "u", "v", "vs", "vb", "vd", "s", "t", "x", "x_"]
)


@settings(deadline=None)
@given(st.lists(st.dictionaries(fields, json_values, max_size=6), max_size=5))
def test_records_of_any_types_give_finite_values_and_faults(records: list[object]) -> None:
    try:
        decoded = read(json.dumps(records))
    except DecodeError:
        return
    assert all(math.isfinite(m.value) for m in decoded.measurements)
    assert all(m.device and m.measure for m in decoded.measurements)
    assert all(fault.isprintable() for fault in decoded.faults)
