"""From a sender's words to a reading at a place, and what is kept when that fails."""

from datetime import UTC, datetime, timedelta

import pytest

from devices.message import Message
from devices.reading import Measurement, Quantity, Reading
from devices.sensor import Sensor
from service.quality.placement import RETAINED_WITHOUT_TIME, Placement, Unplaced, Why

NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
EARLIER = NOW - timedelta(minutes=1)
MESSAGE = Message(topic="t", payload=b"", received_at=NOW)
RETAINED = Message(topic="t", payload=b"", received_at=NOW, retained=True)


def sensor(**measures: Quantity) -> Sensor:
    return Sensor(
        device="th-shed",
        place="shed",
        interval=timedelta(seconds=60),
        overdue_after=timedelta(seconds=180),
        measures=measures,
    )


def measured(
    measure: str = "temperature",
    value: float = 21.4,
    unit: str | None = "Cel",
    *,
    device: str = "th-shed",
    at: datetime | None = EARLIER,
) -> Measurement:
    return Measurement(device=device, measure=measure, value=value, unit=unit, measured_at=at)


def reading_of(placed: Reading | Unplaced) -> Reading:
    assert isinstance(placed, Reading)
    return placed


def unplaced(placed: Reading | Unplaced) -> Unplaced:
    assert isinstance(placed, Unplaced)
    return placed


def test_known_sensor_gives_a_reading_at_its_place() -> None:
    assert Placement([sensor()]).place(measured(), MESSAGE) == Reading(
        device="th-shed",
        place="shed",
        quantity=Quantity.TEMPERATURE,
        value=21.4,
        measured_at=EARLIER,
        received_at=NOW,
    )


def test_value_is_in_the_quantitys_own_unit() -> None:
    placed = Placement([sensor()]).place(measured(value=212.0, unit="degF"), MESSAGE)
    assert reading_of(placed).value == pytest.approx(100.0)


def test_keepers_name_for_a_measure_is_understood() -> None:
    placement = Placement([sensor(w=Quantity.MASS)])
    assert reading_of(placement.place(measured("w", 45.0, "g"), MESSAGE)).quantity is Quantity.MASS


def test_own_names_are_understood_beside_the_keepers() -> None:
    placement = Placement([sensor(w=Quantity.MASS)])
    placed = reading_of(placement.place(measured(), MESSAGE))
    assert placed.quantity is Quantity.TEMPERATURE


def test_quantity_taken_from_another_measure_is_not_taken_from_its_own_name_too() -> None:
    placement = Placement([sensor(t1=Quantity.TEMPERATURE)])
    assert unplaced(placement.place(measured(), MESSAGE)).why is Why.UNKNOWN_MEASURE


def test_unknown_device_is_a_stranger() -> None:
    placed = unplaced(Placement([sensor()]).place(measured(device="th-new"), MESSAGE))
    assert placed.why is Why.UNKNOWN_DEVICE
    assert placed.is_stranger


def test_unknown_measure_is_a_stranger() -> None:
    placed = unplaced(Placement([sensor()]).place(measured("wind"), MESSAGE))
    assert placed.why is Why.UNKNOWN_MEASURE
    assert placed.is_stranger


@pytest.mark.parametrize("unit", ["furlong", None, "%RH"])
def test_wrong_unit_is_no_stranger_and_says_what_is_allowed(unit: str | None) -> None:
    placed = unplaced(Placement([sensor()]).place(measured(unit=unit), MESSAGE))
    assert placed.why is Why.WRONG_UNIT
    assert not placed.is_stranger
    assert "th-shed" in placed.reason
    assert "Cel" in placed.reason


def test_value_that_leaves_the_finite_numbers_is_no_reading() -> None:
    placement = Placement([sensor(w=Quantity.MASS)])
    placed = unplaced(placement.place(measured("w", 1e306, "kg"), MESSAGE))
    assert placed.why is Why.WRONG_UNIT


def test_arrival_stands_in_for_a_missing_time() -> None:
    placed = reading_of(Placement([sensor()]).place(measured(at=None), MESSAGE))
    assert placed.measured_at == placed.received_at == NOW


def test_retained_without_a_time_is_refused() -> None:
    placed = unplaced(Placement([sensor()]).place(measured(at=None), RETAINED))
    assert placed.why is Why.NO_TIME
    assert placed.reason == RETAINED_WITHOUT_TIME
    assert not placed.is_stranger


def test_retained_with_a_time_is_a_reading() -> None:
    placed = reading_of(Placement([sensor()]).place(measured(), RETAINED))
    assert placed.measured_at == EARLIER


def test_retained_from_an_unknown_device_is_still_a_stranger() -> None:
    placed = unplaced(Placement([]).place(measured(at=None), RETAINED))
    assert placed.why is Why.UNKNOWN_DEVICE


def test_sensor_is_found_by_its_device() -> None:
    placement = Placement([sensor()])
    found = placement.sensor("th-shed")
    assert found is not None
    assert found.place == "shed"
    assert placement.sensor("th-new") is None
