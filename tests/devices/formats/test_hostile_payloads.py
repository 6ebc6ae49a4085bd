"""Payloads that broken, careless or hostile senders send, each with what must come of it.

``READ`` is a measurement with nothing to complain of, ``PART`` one beside a fault, ``FAULT``
faults alone, and a text is a part of the reason why the whole message was refused. No other
error than DecodeError may come out, whatever the bytes.
"""

import math
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.message import Message
from devices.reading import Quantity
from devices.sensor import Feed, Field, Format

SENML = Feed(topic="clutchweather/+/senml", format=Format.SENML)
NUMBER = Feed(
    topic="plain/eye",
    format=Format.NUMBER,
    device_name="eye",
    quantity=Quantity.TEMPERATURE,
    unit="Cel",
)
JSON = Feed(
    topic="radio/+",
    format=Format.JSON,
    device_level=2,
    fields=(
        Field(pointer="/t", quantity=Quantity.TEMPERATURE, unit="Cel"),
        Field(pointer="/h", quantity=Quantity.RELATIVE_HUMIDITY, unit="%RH"),
        Field(pointer="/m", quantity=Quantity.MAINS, unit="0/1"),
    ),
    time_pointer="/at",
)
NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
READ, PART, FAULT = "read", "part", "fault"
OUTCOMES = (READ, PART, FAULT)
GOOD = b'{"n":"a","v":1}'


def record(inside: bytes) -> bytes:
    return b"[{" + inside + b"}]"


def beside(inside: bytes) -> bytes:
    return b"[" + GOOD + b"," + inside + b"]"


SENML_CORPUS: list[tuple[str, bytes, str]] = [
    ("empty", b"", "not JSON"),
    ("blank", b"   ", "not JSON"),
    ("null byte", b"\x00", "not JSON"),
    ("null bytes behind", record(b'"n":"a","v":1') + b"\x00\x00", "not JSON"),
    ("text behind", record(b'"n":"a","v":1') + b" and more", "not JSON"),
    ("cut off", b'[{"n":"a","v":', "not JSON"),
    ("cut in a string", b'[{"n":"a', "not JSON"),
    ("single quotes", b"[{'n':'a','v':1}]", "not JSON"),
    ("trailing comma", b'[{"n":"a","v":1},]', "not JSON"),
    ("byte order mark", b"\xef\xbb\xbf" + record(b'"n":"a","v":1'), "not JSON"),
    ("utf-16", '[{"n":"a","v":1}]'.encode("utf-16"), "not UTF-8"),
    ("latin-1 unit", record(b'"n":"a","u":"\xb0C","v":1'), "not UTF-8"),
    ("cbor", bytes.fromhex("82a3006161021703fb3ff0000000000000"), "not UTF-8"),
    ("gzip", bytes.fromhex("1f8b0800000000000003"), "not UTF-8"),
    ("comma as point", record(b'"n":"a","v":21,5'), "not JSON"),
    ("leading nought", record(b'"n":"a","v":021'), "not JSON"),
    ("plus sign", record(b'"n":"a","v":+21'), "not JSON"),
    ("hexadecimal", record(b'"n":"a","v":0x15'), "not JSON"),
    ("bare point", record(b'"n":"a","v":.5'), "not JSON"),
    ("lower-case nan", record(b'"n":"a","v":nan'), "not JSON"),
    ("python true", record(b'"n":"a","vb":True'), "not JSON"),
    ("object", b'{"n":"a","v":1}', "not a SenML pack"),
    ("number", b"21.4", "not a SenML pack"),
    ("string", b'"21.4"', "not a SenML pack"),
    ("null", b"null", "not a SenML pack"),
    ("empty pack", b"[]", "1 to 500"),
    ("501 records", b"[" + b",".join([GOOD] * 501) + b"]", "1 to 500"),
    ("empty record", b"[{}]", "no value"),
    ("depth bomb of lists", b"[" * 60_000, "nested too deep"),
    ("depth bomb of objects", b'{"n":' * 12_000, "nested too deep"),
    ("closed depth bomb", b"[" * 30_000 + b"]" * 30_000, "nested too deep"),
    ("deep unknown field", record(b'"n":"a","v":1,"x":' + b"[" * 3_000 + b"]" * 3_000), "too deep"),
    ("64 KB and one byte", b" " * 65_520 + record(b'"n":"a","v":1'), "bytes are more"),
    ("a megabyte", b"[" + b"0" * 1_000_000 + b"]", "bytes are more"),
    ("NaN", record(b'"n":"a","v":NaN'), FAULT),
    ("NaN beside", beside(b'{"n":"b","v":NaN}'), PART),
    ("Infinity beside", beside(b'{"n":"b","v":Infinity}'), PART),
    ("minus Infinity beside", beside(b'{"n":"b","v":-Infinity}'), PART),
    ("1e999 beside", beside(b'{"n":"b","v":1e999}'), PART),
    ("5,000 digits beside", beside(b'{"n":"b","v":' + b"9" * 5_000 + b"}"), PART),
    ("5,000 digits of time", beside(b'{"n":"b","v":1,"t":' + b"9" * 5_000 + b"}"), PART),
    ("base value overflows", beside(b'{"bv":1e308,"n":"b","v":1e308}'), PART),
    ("infinite base value", beside(b'{"bv":1e999,"n":"b","v":1}'), PART),
    ("NaN as base time", beside(b'{"bt":NaN,"n":"b","v":1}'), PART),
    ("number as text", beside(b'{"n":"b","v":"21.4"}'), PART),
    ("number with unit", beside(b'{"n":"b","v":"72F"}'), PART),
    ("true as value", beside(b'{"n":"b","v":true}'), PART),
    ("one as boolean", beside(b'{"n":"b","vb":1}'), PART),
    ("null as value", beside(b'{"n":"b","v":null}'), PART),
    ("list as value", beside(b'{"n":"b","v":[1]}'), PART),
    ("object as value", beside(b'{"n":"b","v":{"v":1}}'), PART),
    ("two kinds of value", beside(b'{"n":"b","v":1,"vb":true}'), PART),
    ("no value", beside(b'{"n":"b","u":"Cel"}'), PART),
    ("number as record", beside(b"3"), PART),
    ("null as record", beside(b"null"), PART),
    ("list as record", beside(b"[" * 300 + b"]" * 300), PART),
    ("number as name", beside(b'{"n":5,"v":1}'), PART),
    ("number as base name", beside(b'{"bn":5,"n":"b","v":1}'), PART),
    ("no name", beside(b'{"bn":"th-9:","v":1}'), PART),
    ("markup in a name", beside(b'{"n":"<script>alert(1)</script>","v":1}'), PART),
    ("markup in a device", beside(b'{"bn":"<img src=x>:","n":"b","v":1}'), PART),
    ("escaped markup", beside(b'{"n":"\\u003cb\\u003e","v":1}'), PART),
    ("umlaut in a name", beside('{"n":"wärme","v":1}'.encode()), PART),
    ("line break in a name", beside(b'{"n":"b\\n","v":1}'), PART),
    ("blank in a name", beside(b'{"n":"b c","v":1}'), PART),
    ("name begins with a dot", beside(b'{"n":"..","v":1}'), PART),
    ("name of 65 characters", beside(b'{"n":"' + b"b" * 65 + b'","v":1}'), PART),
    ("name of 10,000", beside(b'{"n":"' + b"b" * 10_000 + b'","v":1}'), PART),
    ("base name that never ends", beside(b'{"bn":"' + b"b:" * 5_000 + b'","n":"b","v":1}'), PART),
    ("half a surrogate pair", beside(b'{"n":"b\\ud800","v":1}'), PART),
    ("half a pair as unit", beside(b'{"n":"b","u":"\\ud800","v":1}'), PART),
    ("half a pair as base name", beside(b'{"bn":"\\ud800","n":"b","v":1}'), PART),
    ("half a pair as base unit", beside(b'{"bu":"\\udfff","n":"b","v":1}'), PART),
    ("half a pair as value", beside(b'{"n":"b","v":"\\ud800"}'), PART),
    ("half a pair as boolean", beside(b'{"n":"b","vb":"\\ud800"}'), PART),
    ("half a pair as time", beside(b'{"n":"b","v":1,"t":"\\ud800"}'), PART),
    ("half a pair as base time", beside(b'{"bt":"\\ud800","n":"b","v":1}'), PART),
    ("half a pair as base value", beside(b'{"bv":"\\ud800","n":"b","v":1}'), PART),
    ("half a pair as version", beside(b'{"bver":"\\ud800","n":"b","v":1}'), PART),
    ("half a pair in a mandatory key", beside(b'{"\\ud800_":1,"n":"b","v":1}'), PART),
    ("half a pair alone as value", record(b'"n":"t","v":"\\ud800"'), FAULT),
    ("half a pair as raw bytes", record(b'"n":"\xed\xa0\x80","v":1'), "not UTF-8"),
    ("half a pair as ignored key", record(b'"n":"a","v":1,"\\ud800":1'), READ),
    ("half a pair as ignored value", record(b'"n":"a","v":1,"x":"\\ud800"'), READ),
    ("half a pair as a label", beside(b'{"n":"b","vs":"\\ud800"}'), READ),
    ("half a pair as data", beside(b'{"n":"b","vd":"\\ud800"}'), READ),
    ("unit of 33 characters", beside(b'{"n":"b","u":"' + b"C" * 33 + b'","v":1}'), PART),
    ("unit with a null byte", beside(b'{"n":"b","u":"\\u0000","v":1}'), PART),
    ("milliseconds as time", beside(b'{"n":"b","v":1,"t":1772398800000}'), PART),
    ("time as text", beside(b'{"n":"b","v":1,"t":"2026-03-01T21:00:00Z"}'), PART),
    ("newer version", beside(b'{"bver":99,"n":"b","v":1}'), PART),
    ("text as version", beside(b'{"bver":"ten","n":"b","v":1}'), PART),
    ("mandatory field", beside(b'{"n":"b","v":1,"frost_":true}'), PART),
    ("duplicate keys", record(b'"n":"a","v":1,"n":"b","v":2'), READ),
    ("huge and finite", record(b'"n":"a","v":1.7e308'), READ),
    ("30 digits", record(b'"n":"a","v":123456789012345678901234567890'), READ),
    ("minus nought", record(b'"n":"a","v":-0'), READ),
    ("spaces and line ends", b' [\r\n\t{ "n" : "a" , "v" : 1 } ]\n', READ),
    ("markup where it is ignored", record(b'"n":"a","v":1,"x":"<b>"'), READ),
    ("deep, but not too deep", record(b'"n":"a","v":1,"x":' + b"[" * 90 + b"]" * 90), READ),
]

NUMBER_CORPUS: list[tuple[str, bytes, str]] = [
    ("plain", b"21.4", READ),
    ("line end", b"21.4\r\n", READ),
    ("blanks", b"  -3.5 ", READ),
    ("no fraction", b"21.", READ),
    ("bare point", b".5", READ),
    ("plus sign", b"+21", READ),
    ("exponent", b"2.14e1", READ),
    ("empty", b"", "empty"),
    ("blank", b" \n", "empty"),
    ("comma", b"21,5", "comma"),
    ("thousands", b"1,013.2", "comma"),
    ("unit behind", b"72F", "something follows"),
    ("degree sign", "21.4 °C".encode(), "something follows"),
    ("two numbers", b"21.4 21.5", "something follows"),
    ("nan", b"nan", "not a plain number"),
    ("NaN", b"NaN", "not a plain number"),
    ("inf", b"inf", "not a plain number"),
    ("-Infinity", b"-Infinity", "not a plain number"),
    ("true", b"true", "not a plain number"),
    ("None", b"None", "not a plain number"),
    ("underscore", b"1_000", "not a plain number"),
    ("hexadecimal", b"0x15", "not a plain number"),
    ("arabic digits", "٢١".encode(), "not a plain number"),
    ("json", b'{"v":21.4}', "not a plain number"),
    ("quoted", b'"21.4"', "not a plain number"),
    ("markup", b"<b>21</b>", "not a plain number"),
    ("null byte", b"21.4\x00", "not a plain number"),
    ("minus alone", b"-", "not a plain number"),
    ("too large", b"1e999", "too large"),
    ("5,000 digits", b"9" * 5_000, "longer than"),
    ("invalid utf-8", b"\xff\xfe", "not UTF-8"),
    ("huge", b"1" * 70_000, "bytes are more"),
]

JSON_CORPUS: list[tuple[str, bytes, str]] = [
    ("plain", b'{"t":21.4,"h":50}', READ),
    ("part", b'{"h":50}', READ),
    ("number as text", b'{"t":"21.4"}', READ),
    ("number as text with blanks", b'{"t":" 21.4 "}', READ),
    ("byte order mark", b'\xef\xbb\xbf{"t":21.4}', READ),
    ("duplicate keys", b'{"t":99,"t":21.4}', READ),
    ("mains as true", b'{"m":true}', READ),
    ("mains as number", b'{"m":0}', READ),
    ("unknown neighbours", b'{"t":21.4,"x":[[1]],"y":{"z":null}}', READ),
    ("half a pair beside", b'{"t":21.4,"x":"\\ud800"}', READ),
    ("half a pair as key", b'{"t":21.4,"\\udfff":1}', READ),
    ("NaN in what is not asked for", b'{"t":21.4,"x":NaN}', READ),
    ("5,000 digits not asked for", b'{"t":21.4,"x":' + b"9" * 5_000 + b"}", READ),
    ("eight deep", b'{"t":1,"x":' + b"[" * 7 + b"]" * 7 + b"}", READ),
    ("brackets in a text", b'{"t":1,"x":"' + b"[{" * 500 + b'"}', READ),
    ("escaped quotes in a text", b'{"t":1,"x":"' + b'\\"[' * 500 + b'"}', READ),
    ("nought time", b'{"t":1,"at":null}', READ),
    ("NaN", b'{"t":NaN,"h":50}', PART),
    ("Infinity", b'{"t":-Infinity,"h":50}', PART),
    ("nan as text", b'{"t":"nan","h":50}', PART),
    ("inf as text", b'{"t":"inf","h":50}', PART),
    ("null", b'{"t":null,"h":50}', PART),
    ("1e999", b'{"t":1e999,"h":50}', PART),
    ("1e999 as text", b'{"t":"1e999","h":50}', PART),
    ("5,000 digits", b'{"t":' + b"9" * 5_000 + b',"h":50}', PART),
    ("400 digits", b'{"t":-' + b"9" * 400 + b',"h":50}', PART),
    ("5,000 digits as text", b'{"t":"' + b"9" * 5_000 + b'","h":50}', PART),
    ("comma as point", b'{"t":"21,4","h":50}', PART),
    ("unit behind", b'{"t":"72F","h":50}', PART),
    ("empty text", b'{"t":"","h":50}', PART),
    ("true as temperature", b'{"t":true,"h":50}', PART),
    ("list as value", b'{"t":[21.4],"h":50}', PART),
    ("object as value", b'{"t":{"v":21.4},"h":50}', PART),
    ("half a pair as value", b'{"t":"\\ud800","h":50}', PART),
    ("markup as value", b'{"t":"<script>alert(1)</script>","h":50}', PART),
    ("time without a zone", b'{"t":1,"at":"2026-03-01T21:00:00"}', PART),
    ("time of the day", b'{"t":1,"at":"21:00"}', PART),
    ("time as true", b'{"t":1,"at":true}', PART),
    ("time as an object", b'{"t":1,"at":{}}', PART),
    ("running time as time", b'{"t":1,"at":86400}', PART),
    ("1e999 as time", b'{"t":1,"at":1e999}', PART),
    ("NaN as time", b'{"t":1,"at":NaN}', PART),
    ("5,000 digits as time", b'{"t":1,"at":' + b"9" * 5_000 + b"}", PART),
    ("a day that is not", b'{"t":1,"at":"2026-02-30T00:00:00Z"}', PART),
    ("before the first year", b'{"t":1,"at":"0001-01-01T00:00:00+23:59"}', PART),
    ("null alone", b'{"t":null}', FAULT),
    ("NaN alone", b'{"t":NaN}', FAULT),
    ("empty", b"", "empty"),
    ("blank", b" \n", "empty"),
    ("byte order mark alone", b"\xef\xbb\xbf", "empty"),
    ("empty object", b"{}", "nothing stands at"),
    ("other fields only", b'{"x":1}', "nothing stands at"),
    ("number", b"21.4", "nothing stands at"),
    ("text", b'"21.4"', "nothing stands at"),
    ("null whole", b"null", "nothing stands at"),
    ("list", b'[{"t":21.4}]', "nothing stands at"),
    ("null byte", b"\x00", "not JSON"),
    ("cut off", b'{"t":21.', "not JSON"),
    ("cut in a string", b'{"t":"', "not JSON"),
    ("text behind", b'{"t":1} and more', "not JSON"),
    ("two objects", b'{"t":1}{"t":2}', "not JSON"),
    ("single quotes", b"{'t':1}", "not JSON"),
    ("trailing comma", b'{"t":1,}', "not JSON"),
    ("python true", b'{"m":True}', "not JSON"),
    ("leading nought", b'{"t":021}', "not JSON"),
    ("quotes that never end", b'"' * 30_001, "not JSON"),
    ("escapes that never end", b'{"' + b'\\"' * 30_000 + b"[" * 20, "not JSON"),
    ("utf-16", '{"t":1}'.encode("utf-16"), "not UTF-8"),
    ("latin-1", b'{"t":1,"u":"\xb0C"}', "not UTF-8"),
    ("half a pair as raw bytes", b'{"t":1,"u":"\xed\xa0\x80"}', "not UTF-8"),
    ("gzip", bytes.fromhex("1f8b0800000000000003"), "not UTF-8"),
    ("nine deep", b'{"t":1,"x":' + b"[" * 8 + b"]" * 8 + b"}", "deeper than 8"),
    ("depth bomb of lists", b"[" * 60_000, "deeper than 8"),
    ("depth bomb of objects", b'{"t":' * 12_000, "deeper than 8"),
    ("closed depth bomb", b"[" * 30_000 + b"]" * 30_000, "deeper than 8"),
    ("64 KB and one byte", b" " * 65_530 + b'{"t":1}', "bytes are more"),
]

CASES = [
    pytest.param(feed, topic, payload, expected, id=f"{kind}: {name}")
    for kind, feed, topic, corpus in (
        ("senml", SENML, "clutchweather/th-1/senml", SENML_CORPUS),
        ("number", NUMBER, "plain/eye", NUMBER_CORPUS),
        ("json", JSON, "radio/th-9", JSON_CORPUS),
    )
    for name, payload, expected in corpus
]


@pytest.mark.parametrize(("feed", "topic", "payload", "expected"), CASES)
def test_payload_comes_to_what_it_should(
    feed: Feed, topic: str, payload: bytes, expected: str
) -> None:
    message = Message(topic=topic, payload=payload, received_at=NOW)
    if expected not in OUTCOMES:
        with pytest.raises(DecodeError, match=expected) as refused:
            decode(feed, message)
        assert refused.value.topic == topic
        return
    decoded = decode(feed, message)
    assert bool(decoded.measurements) == (expected in (READ, PART))
    assert bool(decoded.faults) == (expected in (PART, FAULT))
    assert all(math.isfinite(measurement.value) for measurement in decoded.measurements)


_KEYS = ("bn", "bt", "bu", "bv", "bs", "bver", "n", "u", "v", "vs", "vb", "vd", "s", "t")
_ODD_KEYS = ("x", "x_", "b_", "\\ud800", "\\ud800_", "b\\ud800")
_ODD_VALUES = (
    '"\\ud800"',
    '"a\\udfff"',
    '{"\\ud800":1}',
    '["\\ud800"]',
    "1",
    "1e999",
    "NaN",
    "null",
)


@given(
    st.lists(
        st.dictionaries(st.sampled_from(_KEYS + _ODD_KEYS), st.sampled_from(_ODD_VALUES)),
        min_size=1,
        max_size=3,
    )
)
def test_no_mixture_of_odd_keys_and_values_brings_another_error(
    records: list[dict[str, str]],
) -> None:
    told = (",".join(f'"{key}":{value}' for key, value in one.items()) for one in records)
    payload = f"[{GOOD.decode()},{','.join('{' + one + '}' for one in told)}]".encode()
    message = Message(topic="clutchweather/th-1/senml", payload=payload, received_at=NOW)
    decoded = decode(SENML, message)
    assert decoded.measurements[0].measure == "a"
    assert all(fault.isprintable() for fault in decoded.faults)


def test_corpus_is_as_large_as_it_claims() -> None:
    assert len(CASES) >= 180
    assert len({case.id for case in CASES}) == len(CASES)


def test_reason_never_carries_a_payload_whole() -> None:
    with pytest.raises(DecodeError) as refused:
        decode(NUMBER, Message(topic="plain/eye", payload=b"x" * 60_000, received_at=NOW))
    assert len(refused.value.reason) < 200
