"""The limits that hold where the keeper has set none: cold, hot, damp and dry of each shed, and
frost, hot and damp of each flight that has a sensor of its own.

Setpoints are common practice, no source: keepers speak of 10 to 12 °C at least, 18 to 24 °C
as comfortable and 50 to 60 % humidity, and these stand well outside, where somebody has to
do something. They are starting values to be edited, not advice on keeping birds.

Deadbands: the starting value of EEMUA 191 for temperature, 1 % of the range, told by a
safety consultancy; of -10 to 40 °C that is 0.5 °C. 1 % of a humidity range is less than the
noise of a humidity sensor, so 3 % here.

Delays: those of EEMUA 191 and ISA-18.2 (a minute) are for plants with a person at the desk.
Air in a shed moves slowly and a door opened on a visit is no danger, hence minutes for heat
and cold and hours for damp and dryness, which harm over days. Common practice, no source.
"""

from collections.abc import Sequence
from datetime import timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority


def built_in_limits(
    shed_places: Sequence[str], flights_with_a_sensor: Sequence[str] = ()
) -> tuple[Limit, ...]:
    """Limits for each place given; their ids stay the same when places are added.

    A flight without a sensor of its own has none: nothing could ever tell of it, and its birds
    are watched by the shed's.
    """
    sheds = (limit for place in shed_places for limit in _of_shed(place))
    flights = (limit for place in flights_with_a_sensor for limit in _of_flight(place))
    return (*sheds, *flights)


def _of_flight(place: str) -> tuple[Limit, ...]:
    """Grown birds that can move about bear more cold than eggs, but not frozen water nor damp."""
    return (
        _warmth(f"{place}-frost", place, low=2.0),  # with room to act: water still runs
        _warmth(f"{place}-hot", place, high=32.0),
        # A flight is hosed down and rained on.
        _damp(f"{place}-damp", place, Priority.MEDIUM, timedelta(hours=6), high=85.0),
    )


def _of_shed(place: str) -> tuple[Limit, ...]:
    two_hours = timedelta(hours=2)
    return (
        # Above freezing with room to act: water still runs, eggs are not yet lost.
        _warmth(f"{place}-cold", place, low=5.0),
        # Boxes full of chicks are some degrees warmer than the shed around them.
        _warmth(f"{place}-hot", place, high=30.0),
        _damp(f"{place}-damp", place, Priority.MEDIUM, two_hours, high=80.0),
        # A heater dries the air every winter: worth knowing, no more.
        _damp(f"{place}-dry", place, Priority.LOW, two_hours, low=40.0),
    )


def _warmth(
    limit_id: str, place: str, *, low: float | None = None, high: float | None = None
) -> Limit:
    return Limit(
        id=limit_id,
        place=place,
        quantity=Quantity.TEMPERATURE,
        low=low,
        high=high,
        deadband=0.5,
        on_delay=timedelta(minutes=10),
        off_delay=timedelta(minutes=15),
        priority=Priority.HIGH,
    )


def _damp(
    limit_id: str,
    place: str,
    priority: Priority,
    on_delay: timedelta,
    *,
    low: float | None = None,
    high: float | None = None,
) -> Limit:
    return Limit(
        id=limit_id,
        place=place,
        quantity=Quantity.RELATIVE_HUMIDITY,
        low=low,
        high=high,
        deadband=3.0,
        on_delay=on_delay,
        off_delay=timedelta(minutes=30),
        priority=priority,
    )
