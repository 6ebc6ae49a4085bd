"""What a message of an unknown sender is taken for. Meanings of words: common practice."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from devices.formats.json_leaves import MAX_LEAVES, Leaf, LeafKind, MessageReading, suggest
from devices.reading import Quantity
from devices.sensor import Format
from devices.units import convert


def read(
    payload: str | bytes, topic: str = "radio/ab12", beside: Sequence[str] = ()
) -> MessageReading:
    sent = payload if isinstance(payload, bytes) else payload.encode()
    return suggest(topic, sent, beside=beside)


def leaf(payload: str, pointer: str, topic: str = "radio/ab12") -> Leaf:
    return next(one for one in read(payload, topic).leaves if one.pointer == pointer)


@pytest.mark.parametrize(
    ("payload", "pointer", "quantity", "unit"),
    [
        ('{"temperature":21.4}', "/temperature", Quantity.TEMPERATURE, "Cel"),
        ('{"temp":72,"unit":"F"}', "/temp", Quantity.TEMPERATURE, "degF"),
        ('{"temp":72}', "/temp", Quantity.TEMPERATURE, "degF"),
        ('{"tempF":41}', "/tempF", Quantity.TEMPERATURE, "degF"),
        ('{"temp_c":"21.4"}', "/temp_c", Quantity.TEMPERATURE, "Cel"),
        ('{"t1":{"temperature":{"value":21,"unit":"°C"}}}', "/t1/temperature/value",
         Quantity.TEMPERATURE, "Cel"),
        ('{"rssi":-71}', "/rssi", Quantity.SIGNAL, "dBm"),
        ('{"wifi":{"signal":"-71"}}', "/wifi/signal", Quantity.SIGNAL, "dBm"),
        ('{"hum":48}', "/hum", Quantity.RELATIVE_HUMIDITY, "%RH"),
        ('{"humidity":0.48}', "/humidity", Quantity.RELATIVE_HUMIDITY, "/"),
        ('{"pressure":1013.2}', "/pressure", Quantity.PRESSURE, "hPa"),
        ('{"pressure":101.3}', "/pressure", Quantity.PRESSURE, "kPa"),
        ('{"pressure_mbar":990}', "/pressure_mbar", Quantity.PRESSURE, "mbar"),
        ('{"batt_mV":2950}', "/batt_mV", Quantity.BATTERY_VOLTAGE, "mV"),
        ('{"battery":87}', "/battery", Quantity.BATTERY, "%"),
        ('{"battery":2.95}', "/battery", Quantity.BATTERY_VOLTAGE, "V"),
        ('{"battery":{"voltage":3.0}}', "/battery/voltage", Quantity.BATTERY_VOLTAGE, "V"),
        ('{"lux":120}', "/lux", Quantity.ILLUMINANCE, "lx"),
        ('{"weight":1.2,"weight_unit":"kg"}', "/weight", Quantity.MASS, "kg"),
        ('{"pressure_inHg":29.92}', "/pressure_inHg", Quantity.PRESSURE, "inHg"),
        ('{"weight_oz":1.5}', "/weight_oz", Quantity.MASS, "oz"),
        ('{"CO2":612}', "/CO2", Quantity.CO2, "ppm"),
        ('{"mains":true}', "/mains", Quantity.MAINS, "0/1"),
        ('{"data":[{"temperature":4}]}', "/data/0/temperature", Quantity.TEMPERATURE, "Cel"),
    ],
)  # fmt: skip
def test_a_value_is_guessed_by_its_name_its_unit_and_its_size(
    payload: str, pointer: str, quantity: Quantity, unit: str
) -> None:
    found = leaf(payload, pointer)
    assert (found.quantity, found.unit) == (quantity, unit)
    assert found.why


@pytest.mark.parametrize(
    ("payload", "pointer"),
    [
        ('{"min_temp":1}', "/min_temp"),
        ('{"soil_temperature":9}', "/soil_temperature"),
        ('{"temperature":{"offset":1}}', "/temperature/offset"),
        ('{"temperature":2140}', "/temperature"),
        ('{"linkquality":80}', "/linkquality"),
        ('{"rssi":71}', "/rssi"),
        ('{"temperature":true}', "/temperature"),
        ('{"temperature":"warm"}', "/temperature"),
        ('{"temperature":null}', "/temperature"),
    ],
)
def test_nothing_is_guessed_where_nothing_speaks_for_it(payload: str, pointer: str) -> None:
    assert leaf(payload, pointer).quantity is None


def test_a_guess_in_fahrenheit_is_what_it_says() -> None:
    found = leaf('{"temp":72,"unit":"F"}', "/temp")
    assert found.unit is not None
    # 72 °F = 22.2 °C: (72 - 32) / 1.8, exact by definition.
    assert convert(72, found.unit, Quantity.TEMPERATURE) == pytest.approx(40 / 1.8)


def test_a_plain_number_is_guessed_by_its_topic() -> None:
    found = read("21.4", topic="home/aviary/temperature")
    assert found.format is Format.NUMBER
    assert [(one.pointer, one.quantity) for one in found.leaves] == [("", Quantity.TEMPERATURE)]
    assert found.devices[0].device == "aviary"
    assert found.devices[0].topic == "home/+/temperature"


def test_a_senml_pack_names_its_sender_and_measures() -> None:
    found = read('[{"bn":"th-9:","n":"temperature","u":"Cel","v":4.5}]')
    assert found.format is Format.SENML
    assert [(one.pointer, one.quantity) for one in found.leaves] == [
        ("temperature", Quantity.TEMPERATURE)
    ]
    assert found.devices[0].device == "th-9"


def test_the_level_that_differs_between_topics_is_the_likeliest_sender() -> None:
    found = read('{"id":"x","temp":4}', "radio/green/out", beside=["radio/blue/out", "other/thing"])
    assert (found.devices[0].level, found.devices[0].device) == (2, "green")
    assert found.devices[0].topic == "radio/+/out"


def test_an_id_in_the_message_is_likelier_than_a_level_that_nothing_speaks_for() -> None:
    found = read('{"sensor":{"id":4711},"temp":4}', "radio/out")
    assert (found.devices[0].pointer, found.devices[0].device) == ("/sensor/id", "4711")
    assert found.devices[0].topic == "radio/out"


@pytest.mark.parametrize(
    ("payload", "pointers"),
    [
        ('{"ts":1772398800,"temp":4}', ("/ts",)),
        ('{"time":1772398800123}', ("/time",)),
        ('{"measured":"2026-03-01T21:00:00Z"}', ("/measured",)),
        ('{"uptime":1234,"time":12}', ()),
        ('{"counter":1772398800}', ()),
    ],
)
def test_a_time_is_found_by_its_name_and_what_it_says(
    payload: str, pointers: tuple[str, ...]
) -> None:
    assert read(payload).time_pointers == pointers


def test_keys_with_slashes_and_tildes_are_escaped_in_pointers() -> None:
    # RFC 6901, section 5: "/a~1b" is the key a/b, "/m~0n" the key m~n.
    assert [one.pointer for one in read('{"a/b":1,"m~n":8}').leaves] == ["/a~1b", "/m~0n"]


def test_a_message_that_can_not_be_read_says_why() -> None:
    found = read(b"\xff\xfe")
    assert (found.format, found.fault) == (None, "the payload is not UTF-8 text")


def test_more_leaves_than_can_be_shown_are_counted() -> None:
    found = read("[" + ",".join(["1"] * (MAX_LEAVES + 5)) + "]")
    assert (len(found.leaves), found.left_out) == (MAX_LEAVES, 5)


def test_a_long_text_is_cut_and_a_control_sign_is_shown_as_a_code() -> None:
    shown = leaf('{"x":"a\\u0007' + "b" * 500 + '"}', "/x").shown
    assert shown.startswith("a\\x07b")
    assert len(shown) < 70


def test_numbers_in_quotes_are_told_apart_from_text() -> None:
    kinds = [one.kind for one in read('{"a":"21.4","b":"21,4","c":"72F","d":1,"e":true}').leaves]
    assert kinds == [
        LeafKind.NUMBER_AS_TEXT,
        LeafKind.TEXT,
        LeafKind.TEXT,
        LeafKind.NUMBER,
        LeafKind.YES_OR_NO,
    ]


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["21.4", "F", "\ud800", "2026-03-01T21:00:00Z", "id-1"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["temp", "unit", "id", "ts", "n", "v", "bn", "\udfff", "", "a/b", "min"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@given(json_values)
def test_whatever_is_sent_no_error_comes_and_each_guess_can_be_converted(value: object) -> None:
    import json

    found = read(json.dumps(value))
    for one in found.leaves:
        assert one.shown.isprintable()
        one.pointer.encode()
        if one.quantity is not None and one.kind is LeafKind.NUMBER:
            assert one.unit is not None


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_in_words(payload: bytes) -> None:
    found = read(payload)
    assert bool(found.fault) == (found.format is None)
