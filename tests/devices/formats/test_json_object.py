"""JSON of other makers, by pointers. The senders and their fields are invented."""

import json
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonpointer import JsonPointer

from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.formats.decoded import Decoded
from devices.formats.json_object import resolve
from devices.message import Message
from devices.reading import Quantity
from devices.sensor import Feed, Field, Format

NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
TEMPERATURE = Field(pointer="/air/temp", quantity=Quantity.TEMPERATURE, unit="degF")
HUMIDITY = Field(pointer="/air/hum", quantity=Quantity.RELATIVE_HUMIDITY, unit="%RH")

# RFC 6901, section 5: the document and what its pointers evaluate to.
RFC_6901_DOCUMENT = r"""
{"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5,
 "k\"l": 6, " ": 7, "m~n": 8}
"""
RFC_6901_VECTORS = [
    ("/foo", ["bar", "baz"]),
    ("/foo/0", "bar"),
    ("/", 0),
    ("/a~1b", 1),
    ("/c%d", 2),
    ("/e^f", 3),
    ("/g|h", 4),
    ("/i\\j", 5),
    ('/k"l', 6),
    ("/ ", 7),
    ("/m~0n", 8),
]


def feed(
    *fields: Field,
    pointer: str | None = None,
    level: int | None = None,
    name: str | None = None,
    time: str | None = None,
) -> Feed:
    return Feed(
        topic="radio/+/out",
        format=Format.JSON,
        fields=fields or (TEMPERATURE, HUMIDITY),
        device_level=level,
        device_pointer=pointer,
        device_name=name,
        time_pointer=time,
    )


def said(of: Feed, content: object, *, retained: bool = False) -> Decoded:
    payload = content if isinstance(content, str) else json.dumps(content)
    return decode(
        of,
        Message(
            topic="radio/green/out", payload=payload.encode(), received_at=NOW, retained=retained
        ),
    )


def test_the_whole_document_stands_at_the_empty_pointer_as_rfc_6901_says() -> None:
    document = json.loads(RFC_6901_DOCUMENT)
    assert resolve(document, JsonPointer("")) == document


@pytest.mark.parametrize(("pointer", "value"), RFC_6901_VECTORS)
def test_pointers_lead_where_rfc_6901_says(pointer: str, value: object) -> None:
    assert resolve(json.loads(RFC_6901_DOCUMENT), JsonPointer(pointer)) == value


@pytest.mark.parametrize(
    ("pointer", "value"), [one for one in RFC_6901_VECTORS if isinstance(one[1], int)]
)
def test_a_field_is_read_from_where_rfc_6901_says(pointer: str, value: int) -> None:
    field = Field(pointer=pointer, quantity=Quantity.TEMPERATURE, unit="Cel")
    (found,) = said(feed(field, level=2), RFC_6901_DOCUMENT).measurements
    assert found.value == value


def test_a_message_becomes_measurements_with_the_units_of_the_feed() -> None:
    decoded = said(feed(level=2), {"air": {"temp": 72, "hum": "48.5"}})
    assert [(one.device, one.measure, one.value, one.unit) for one in decoded.measurements] == [
        ("green", "temperature", 72.0, "degF"),
        ("green", "relative_humidity", 48.5, "%RH"),
    ]
    assert decoded.devices == {"green"}
    assert decoded.faults == ()


@pytest.mark.parametrize("pointer", ["/air/t/0", "/air/t/9", "/air/t/-", "/air/t/01", "/air/t/x"])
def test_a_text_has_no_parts_and_a_list_only_those_that_are_there(pointer: str) -> None:
    field = Field(pointer=pointer, quantity=Quantity.TEMPERATURE, unit="Cel")
    contents: tuple[object, ...] = ({"air": {"t": "21"}}, {"air": {"t": []}})
    for content in contents:
        with pytest.raises(DecodeError, match="nothing stands"):
            said(feed(field, level=2), content)


def test_a_list_at_the_top_is_pointed_into() -> None:
    field = Field(pointer="/0/x", quantity=Quantity.TEMPERATURE, unit="Cel")
    assert said(feed(field, level=2), [{"x": 4.5}]).measurements[0].value == 4.5


def test_a_field_that_is_missing_is_no_fault_beside_one_that_is_there() -> None:
    decoded = said(feed(level=2), {"air": {"hum": 50}})
    assert [one.measure for one in decoded.measurements] == ["relative_humidity"]
    assert decoded.faults == ()


def test_a_field_that_can_not_be_read_costs_its_neighbours_nothing() -> None:
    decoded = said(feed(level=2), {"air": {"temp": None, "hum": 50}})
    assert [one.measure for one in decoded.measurements] == ["relative_humidity"]
    (fault,) = decoded.faults
    assert "/air/temp" in fault
    assert "null" in fault


def test_nothing_but_faults_is_no_sign_of_life() -> None:
    assert said(feed(level=2), {"air": {"temp": None}}).devices == frozenset()


def test_the_last_of_two_equal_keys_counts() -> None:
    field = Field(pointer="/t", quantity=Quantity.TEMPERATURE, unit="Cel")
    assert said(feed(field, level=2), '{"t":99,"t":21}').measurements[0].value == 21


@pytest.mark.parametrize(
    ("content", "device"),
    [({"id": "th-9"}, "th-9"), ({"id": 4711}, "4711"), ({"id": "a:b/c.d"}, "a:b/c.d")],
)
def test_the_device_is_what_stands_at_its_pointer(content: object, device: str) -> None:
    assert isinstance(content, dict)
    decoded = said(feed(pointer="/id"), content | {"air": {"hum": 50}})
    assert decoded.measurements[0].device == device


@pytest.mark.parametrize("sent", [None, True, 4.5, "", "<b>", "with blank", "\ud800", [], "x" * 65])
def test_what_can_not_be_a_device_is_refused_in_words(sent: object) -> None:
    with pytest.raises(DecodeError, match="device's name") as refused:
        said(feed(pointer="/id"), {"id": sent, "air": {"hum": 50}})
    assert refused.value.reason.isprintable()


def test_a_device_that_is_not_told_is_refused_in_words() -> None:
    with pytest.raises(DecodeError, match="nothing stands"):
        said(feed(pointer="/id"), {"air": {"hum": 50}})


def test_the_device_can_be_named_by_the_feed() -> None:
    assert said(feed(name="eye"), {"air": {"hum": 50}}).devices == {"eye"}


@pytest.mark.parametrize(
    "sent", [1772398800, 1772398800000, "2026-03-01T21:00:00Z", "2026-03-01T22:00:00+01:00"]
)
def test_the_time_is_read_as_seconds_milliseconds_or_rfc_3339(sent: object) -> None:
    decoded = said(feed(level=2, time="/at"), {"at": sent, "air": {"hum": 50}})
    assert decoded.measurements[0].measured_at == NOW
    assert decoded.faults == ()


def test_a_message_without_its_time_is_taken_on_arrival() -> None:
    decoded = said(feed(level=2, time="/at"), {"air": {"hum": 50}})
    assert decoded.measurements[0].measured_at is None
    assert decoded.faults == ()


def test_a_time_that_can_not_be_read_is_told_and_the_value_kept() -> None:
    decoded = said(feed(level=2, time="/at"), {"at": "yesterday", "air": {"hum": 50}})
    assert decoded.measurements[0].measured_at is None
    (fault,) = decoded.faults
    assert "'yesterday'" in fault
    assert "RFC 3339" in fault


def test_true_stands_for_one_only_where_the_quantity_is_a_yes_or_no() -> None:
    mains = Field(pointer="/on", quantity=Quantity.MAINS, unit="0/1")
    heat = Field(pointer="/on", quantity=Quantity.TEMPERATURE, unit="Cel")
    decoded = said(feed(mains, heat, level=2), {"on": True})
    assert [(one.measure, one.value) for one in decoded.measurements] == [("mains", 1.0)]
    assert len(decoded.faults) == 1


odd_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["\ud800", "1e999", "21.4", "2026-03-01T21:00:00Z", 10**400]),
    lambda inner: (
        st.lists(inner, max_size=2)
        | st.dictionaries(st.sampled_from(["temp", "hum", "x"]), inner, max_size=3)
    ),
    max_leaves=6,
)


def told(of: Feed, payload: bytes) -> tuple[int, tuple[str, ...]]:
    """How many measurements came of it, and every sentence; any other error goes through."""
    message = Message(topic="radio/green/out", payload=payload, received_at=NOW)
    try:
        decoded = decode(of, message)
    except DecodeError as refused:
        return 0, (refused.reason,)
    return len(decoded.measurements), decoded.faults


@given(st.dictionaries(st.sampled_from(["air", "id", "at", "0"]), odd_values), st.booleans())
def test_no_mixture_of_odd_values_brings_another_error(content: object, by_level: bool) -> None:
    of = feed(level=2, time="/at") if by_level else feed(pointer="/id", time="/at/0")
    read, sentences = told(of, json.dumps(content).encode())
    assert read or sentences
    assert all(sentence.isprintable() for sentence in sentences)


@given(st.binary(max_size=80), st.sampled_from(["", "/0", "/a~1b", "/x/y/z", "/0/0"]))
def test_any_bytes_are_read_or_refused(payload: bytes, pointer: str) -> None:
    field = Field(pointer=pointer, quantity=Quantity.MAINS, unit="0/1")
    read, sentences = told(feed(field, level=2), payload)
    assert read or sentences
