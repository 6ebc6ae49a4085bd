"""The limits that hold where none were set."""

from datetime import timedelta

from devices.reading import Quantity
from service.rules.built_in import built_in_limits
from service.rules.limit import Limit, Priority, When


def _named(place: str = "shed") -> dict[str, Limit]:
    return {limit.id: limit for limit in built_in_limits([place])}


def test_each_shed_is_watched_for_cold_hot_damp_and_dry() -> None:
    ids = [limit.id for limit in built_in_limits(["hazel", "elm"])]
    assert ids == [
        f"{place}-{name}" for place in ("hazel", "elm") for name in ("cold", "hot", "damp", "dry")
    ]
    assert {limit.place for limit in built_in_limits(["hazel", "elm"])} == {"hazel", "elm"}


def test_without_a_shed_there_is_no_limit() -> None:
    assert built_in_limits([]) == ()


def test_a_flight_with_a_sensor_is_watched_for_frost_heat_and_damp() -> None:
    found = built_in_limits([], ["flight"])
    assert [limit.id for limit in found] == ["flight-frost", "flight-hot", "flight-damp"]
    assert {limit.place for limit in found} == {"flight"}


def test_birds_of_a_flight_bear_more_cold_heat_and_damp_than_a_shed_with_eggs() -> None:
    shed, flight = _named(), {limit.id: limit for limit in built_in_limits([], ["flight"])}
    assert flight["flight-frost"].setpoint < shed["shed-cold"].setpoint
    assert flight["flight-hot"].setpoint > shed["shed-hot"].setpoint
    assert flight["flight-damp"].setpoint > shed["shed-damp"].setpoint


def test_cold_and_heat_are_to_act_on_damp_to_watch_and_dryness_to_know() -> None:
    told = {
        limit.id: (limit.quantity, limit.low, limit.high, limit.priority)
        for limit in built_in_limits(["shed"])
    }
    # Setpoints: common practice, no source.
    assert told == {
        "shed-cold": (Quantity.TEMPERATURE, 5.0, None, Priority.HIGH),
        "shed-hot": (Quantity.TEMPERATURE, None, 30.0, Priority.HIGH),
        "shed-damp": (Quantity.RELATIVE_HUMIDITY, None, 80.0, Priority.MEDIUM),
        "shed-dry": (Quantity.RELATIVE_HUMIDITY, 40.0, None, Priority.LOW),
    }


def test_built_in_limits_hold_by_day_and_night() -> None:
    assert {limit.when for limit in _named().values()} == {When.ALWAYS}


def test_deadbands_are_the_usual_start_values() -> None:
    # EEMUA 191, start values, as tabulated by a safety consultancy (second hand): temperature
    # 1 % of the range, here -10 to 40 °C. For humidity 1 % is below the noise: 2 to 3 %.
    limits = _named()
    assert limits["shed-cold"].deadband == limits["shed-hot"].deadband == 0.01 * 50
    assert 2.0 <= limits["shed-damp"].deadband <= 3.0
    assert 2.0 <= limits["shed-dry"].deadband <= 3.0


def test_an_open_door_raises_nothing() -> None:
    door_open = timedelta(minutes=5)
    assert all(limit.on_delay > door_open for limit in _named().values())
