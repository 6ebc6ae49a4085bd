"""What goes wrong with simulated sensors is flagged in time, and a quiet week not at all.

The faults are those that the simulator makes, whose values know nothing of the tests; °F,
drift, and a sensor moved are made here of its readings. How soon each is found was chosen for
the keeper's use (common practice, no source), but for the hour of a wet sensor.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from devices.formats.decode import decode
from devices.message import Message
from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.intake.mqtt_topics import route
from service.nests.place import Place, PlaceKind
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag, Judged
from service.quality.judging import Judge
from service.quality.placement import Placement
from service.wiring import surroundings
from simulated_feeds.days import Shed
from simulated_feeds.happening import Happening, What
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.senders.feeds import feeds_of, measures_of
from simulated_feeds.senders.parameters import Sender, SenderKind, Where
from simulated_feeds.stream import messages

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
TEMPERATURE, HUMIDITY, MASS = Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY, Quantity.MASS
SCALE = Sender(
    device="scale-2",
    place="box-2",
    where=Where.BOX,
    kind=SenderKind.SCALE,
    interval=timedelta(seconds=30),
)


def readings_of(week: Scenario, happenings: Sequence[Happening] = ()) -> list[Reading]:
    """What its senders tell, as readings in the order of their arrival."""
    feeds, placement = feeds_of(week.senders), Placement(sensors_of(week))
    found = []
    sent = messages(
        Shed(week).days(), week.senders, seed=week.seed, happenings=happenings, until=week.origin
    )
    for at, topic, payload, _retain in sent:
        message = Message(topic=topic, payload=payload, received_at=at)
        feed = route(topic, feeds)
        assert feed is not None
        for measurement in decode(feed, message).measurements:
            placed = placement.place(measurement, message)
            assert isinstance(placed, Reading)
            found.append(placed)
    return found


def sensors_of(week: Scenario) -> tuple[Sensor, ...]:
    return tuple(
        Sensor(
            device=one.device,
            place=one.place,
            interval=one.message_interval,
            overdue_after=3 * one.message_interval,
            measures=measures_of(one),
        )
        for one in week.senders
    )


def judged(week: Scenario, readings: Iterable[Reading]) -> list[Judged]:
    """As they are stored in the end: with what was put right later."""
    kinds = {"shed": PlaceKind.SHED, "outdoors": PlaceKind.OUTDOORS}
    places = [
        Place(
            id=place,
            kind=kinds.get(place, PlaceKind.BOX),
            name=place,
            within=None if place in kinds else "shed",
        )
        for place in {one.place for one in week.senders}
    ]
    judge = Judge(sensors_of(week), surroundings(places))
    stored = {}
    for reading in readings:
        one = judge.judge(reading)
        for kept in (one, *judge.take_rejudged()):
            stored[kept.reading.device, kept.reading.quantity, kept.reading.measured_at] = kept
    return list(stored.values())


QUIET = scenario_of("quiet-week", NOW)
WEEK = replace(QUIET, senders=(*QUIET.senders, SCALE))
DAY_5, DAY_6, DAY_7 = (WEEK.start + n * timedelta(days=1) for n in (4, 5, 6))


def happens(what: What, who: str, since: datetime, length: timedelta) -> Happening:
    return Happening(what=what, who=who, since=since, until=since + length)


HAPPENINGS = (
    happens(What.STUCK, "th-shed", DAY_5, 6 * HOUR),
    happens(What.SATURATED, "th-box-2", DAY_5, 4 * HOUR),
    happens(What.READS_85, "th-box-4", DAY_5, HOUR / 2),
    happens(What.GLITCHES, "scale-2", DAY_5, 12 * HOUR),
    happens(What.BATTERY_SAGS, "th-outdoors", DAY_5, 48 * HOUR),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """``flag`` of ``doubt`` at the latest ``within`` after ``since``."""

    device: str
    quantity: Quantity
    since: datetime
    doubt: Doubt
    within: timedelta
    flag: Flag = Flag.SUSPECT


FAULTS = {
    "stuck temperature": Fault(
        device="th-shed",
        quantity=TEMPERATURE,
        since=DAY_5,
        doubt=Doubt.STUCK,
        within=62 * MINUTE,
    ),
    "stuck humidity": Fault(
        device="th-shed", quantity=HUMIDITY, since=DAY_5, doubt=Doubt.STUCK, within=62 * MINUTE
    ),
    "wet sensor": Fault(
        device="th-box-2", quantity=HUMIDITY, since=DAY_5, doubt=Doubt.WET, within=65 * MINUTE
    ),
    "85 °C": Fault(
        device="th-box-4",
        quantity=TEMPERATURE,
        since=DAY_5,
        doubt=Doubt.POWER_ON,
        within=2 * MINUTE,
        flag=Flag.FAIL,
    ),
    "dying battery": Fault(
        device="th-outdoors",
        quantity=TEMPERATURE,
        since=DAY_5,
        doubt=Doubt.BATTERY,
        within=32 * HOUR,
    ),
    "°F": Fault(
        device="th-shed",
        quantity=TEMPERATURE,
        since=DAY_6,
        doubt=Doubt.FAHRENHEIT,
        within=MINUTE,
    ),
    "drift of 2 °C an hour": Fault(
        device="th-box-4",
        quantity=TEMPERATURE,
        since=DAY_6 + 2 * HOUR,
        doubt=Doubt.APART,
        within=8 * HOUR,
    ),
    "moved into the frost": Fault(
        device="th-box-2",
        quantity=TEMPERATURE,
        since=DAY_7,
        doubt=Doubt.APART,
        within=14 * MINUTE,
    ),
}


def spoilt(reading: Reading) -> Reading:
    """In °F on day 6, then drifting; moved on day 7."""
    if reading.quantity is not TEMPERATURE or reading.measured_at < DAY_6:
        return reading
    hours = (reading.measured_at - DAY_6) / HOUR
    if reading.device == "th-shed" and hours < 2:
        return replace(reading, value=1.8 * reading.value + 32.0)
    if reading.device == "th-box-4" and 2 <= hours < 24:
        return replace(reading, value=reading.value - 2.0 * (hours - 2))
    if reading.device == "th-box-2" and hours >= 24:
        return replace(reading, value=reading.value - 20.0)
    return reading


@pytest.fixture(scope="module")
def quiet() -> list[Judged]:
    return judged(QUIET, readings_of(QUIET))


@pytest.fixture(scope="module")
def faulty() -> list[Judged]:
    return judged(WEEK, map(spoilt, readings_of(WEEK, HAPPENINGS)))


def test_nothing_of_a_quiet_week_is_flagged(quiet: list[Judged]) -> None:
    assert len(quiet) > 60_000
    assert [one for one in quiet if one.flag is not Flag.PASS] == []


def test_glitches_of_a_scale_are_put_right_as_spikes(faulty: list[Judged]) -> None:
    # A box with bedding and birds weighs less than half a kilogram there.
    wild = [
        one
        for one in faulty
        if one.reading.quantity is MASS and not -500.0 < one.reading.value < 1_000.0
    ]
    # Two in a row are no lone spike.
    assert len(wild) > 20
    assert sum(one.flag is Flag.PASS for one in wild) < len(wild) / 10


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_flagged_in_time(faulty: list[Judged], name: str) -> None:
    fault = FAULTS[name]
    found = [
        one.reading.measured_at
        for one in faulty
        if (one.reading.device, one.reading.quantity) == (fault.device, fault.quantity)
        and fault.doubt in doubts_in(one.reason)
        and one.flag is fault.flag
    ]
    assert fault.since <= min(found) <= fault.since + fault.within
