"""All three formats, read back by those who must understand them."""

import json
from datetime import timedelta

import numpy as np
import pytest

from devices.formats.senml import resolve
from devices.message import Message
from devices.sensor import Format
from simulated_feeds.senders.feeds import HUMIDITY, LIGHT, MASS, TEMPERATURE
from simulated_feeds.senders.parameters import Sender, SenderKind
from simulated_feeds.senders.payloads import Letters, boot_of, decimals_of, status, written
from simulated_feeds.senders.spans import ms_of
from simulated_feeds.stream import Sent
from tests.simulated_feeds.hand_made_days import START
from tests.simulated_feeds.senders.made_senders import read, scale, sender

STAMP = ms_of(START) + 7000


def letters(values: dict[str, list[list[float]]], **more: object) -> Letters:
    count = len(next(iter(values.values())))
    given: dict[str, object] = {
        "stamps": STAMP + 60_000 * np.arange(count),
        "values": {name: np.array(rows) for name, rows in values.items()},
        "seqs": np.arange(count),
        "boots": ["ab12"] * count,
    }
    return Letters(**(given | more))  # type: ignore[arg-type]


def sent(one: Sender, told: Letters) -> list[Sent]:
    return [
        Sent(START + timedelta(minutes=n), topic, payload)
        for topic, payloads in written(one, told)
        for n, payload in enumerate(payloads)
    ]


AIR = {TEMPERATURE: [[21.43], [-0.5]], HUMIDITY: [[55.2], [100.0]], LIGHT: [[310.0], [0.0]]}


def test_senml_is_read_back_with_values_units_times_run_and_number() -> None:
    one = sender()
    first, second = (read(message, [one]) for message in sent(one, letters(AIR)))
    assert not first.faults
    assert [(m.measure, m.value, m.unit) for m in first.measurements] == [
        ("temperature", 21.43, "Cel"),
        ("humidity", 55.2, "%RH"),
        ("light", 310.0, "lx"),
    ]
    assert {m.measured_at for m in first.measurements} == {START + timedelta(seconds=7)}
    assert first.boots == {"th-shed": "ab12"}
    assert second.seqs == {"th-shed": 1}


def test_pack_of_several_samples_has_times_relative_to_its_first() -> None:
    # RFC 8428, section 4.5.3: base time and time are added.
    one = scale()
    (message,) = sent(one, letters({MASS: [[1.0, 2.0, 3.0, 4.0, 5.0, 6.25]]}))
    found = read(message, [one])
    assert [m.value for m in found.measurements] == [1.0, 2.0, 3.0, 4.0, 5.0, 6.25]
    assert [m.measured_at for m in found.measurements] == [
        START + timedelta(seconds=7 + 10 * n) for n in range(6)
    ]
    assert [record.get("t") for record in json.loads(message.payload)][:6] == [
        None,
        10,
        20,
        30,
        40,
        50,
    ]


def test_tenths_of_a_second_are_told() -> None:
    one = scale(interval=timedelta(milliseconds=100), samples_per_message=2, offset=timedelta(0))
    told = letters({MASS: [[1.0, 2.0]]}, stamps=np.array([STAMP + 200]))
    (message,) = sent(one, told)
    times = [m.measured_at for m in read(message, [one]).measurements]
    assert times == [
        START + timedelta(seconds=7.2),
        START + timedelta(seconds=7.3),
    ]


def test_longest_pack_is_read_back_whole() -> None:
    one = scale(interval=timedelta(milliseconds=400), samples_per_message=225, offset=timedelta(0))
    (message,) = sent(one, letters({MASS: [[123.45] * 225]}))
    assert len(read(message, [one]).measurements) == 225


def test_battery_is_told_only_where_it_is_known() -> None:
    one = sender()
    told = letters(AIR, battery=np.array([np.nan, 87.4]), volts=np.array([3.1, 3.2]))
    first, second = (read(message, [one]) for message in sent(one, told))
    assert not {m.measure for m in first.measurements} & {"battery", "battery_voltage"}
    assert {m.measure: (m.value, m.unit) for m in second.measurements}["battery"] == (87.0, "%EL")
    assert [m.value for m in second.measurements if m.measure == "battery_voltage"] == [3.2]


def test_json_is_read_back_with_its_own_time_and_name() -> None:
    one = sender("gw-7", format=Format.JSON)
    told = letters(AIR, battery=np.array([np.nan, 87.4]), volts=np.array([3.1, 3.2]))
    first, second = (read(message, [one]) for message in sent(one, told))
    assert not first.faults
    assert {m.measure: m.value for m in first.measurements} == {
        "temperature": 21.43,
        "relative_humidity": 55.2,
        "illuminance": 310.0,
    }
    assert {m.device for m in first.measurements} == {"gw-7"}
    assert {m.measured_at for m in first.measurements} == {START + timedelta(seconds=7)}
    assert {m.measure: m.value for m in second.measurements}["battery"] == 87.0


def test_plain_numbers_are_read_back_each_under_its_own_topic() -> None:
    one = sender("eye", format=Format.NUMBER)
    found = [
        (message.topic, m.measure, m.value, m.unit, m.measured_at)
        for message in sent(one, letters(AIR))
        for m in read(message, [one]).measurements
    ]
    assert found == [
        ("plain/eye/temperature", "temperature", 21.43, "Cel", None),
        ("plain/eye/temperature", "temperature", -0.5, "Cel", None),
        ("plain/eye/humidity", "relative_humidity", 55.2, "%RH", None),
        ("plain/eye/humidity", "relative_humidity", 100.0, "%RH", None),
        ("plain/eye/light", "illuminance", 310.0, "lx", None),
        ("plain/eye/light", "illuminance", 0.0, "lx", None),
    ]


def test_thousands_of_rows_come_in_order() -> None:
    one = sender("lux", kind=SenderKind.LIGHT)
    told = letters({LIGHT: [[float(n)] for n in range(1500)]})
    found = [read(message, [one]) for message in sent(one, told)]
    assert [each.measurements[0].value for each in found] == list(range(1500))
    assert [each.seqs["lux"] for each in found] == list(range(1500))


@pytest.mark.parametrize("alive", [True, False])
def test_status_is_a_yes_or_no_named_alive(alive: bool) -> None:
    message = Message(topic="x", payload=status("th-1", alive=alive), received_at=START)
    ((record,), faults) = resolve(message)
    assert not faults
    assert (record.name, record.value) == ("th-1:alive", float(alive))
    assert record.from_broker is not alive


def test_run_has_the_same_name_everywhere_and_no_other_has_it() -> None:
    assert boot_of(1, "th-1", 0) == boot_of(1, "th-1", 0)
    names = {boot_of(seed, device, run) for seed in (1, 2) for device in "ab" for run in range(50)}
    assert len(names) == 200


@pytest.mark.parametrize(
    ("resolution", "decimals"), [(1.0, 0), (0.5, 1), (0.1, 1), (0.01, 2), (0.0625, 4), (50.0, 0)]
)
def test_as_many_decimals_are_told_as_the_resolution_needs(
    resolution: float, decimals: int
) -> None:
    assert decimals_of(resolution) == decimals
