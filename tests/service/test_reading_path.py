"""The walk of a reading, over real stores."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from unittest.mock import patch

import pytest

from devices.formats.decoded import Decoded
from devices.formats.senml import pack
from devices.message import Message
from service.alarms.alarm import AlarmState
from service.errors import StoreUnavailableError
from service.quality.flag import Flag
from service.rules.limit import Priority
from service.store.reading_store import Batch
from service.wiring import open_stores, reading_path
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.parameters import Sender, SenderKind, Where
from simulated_feeds.stream import messages as simulated_messages
from tests.service.shed_in_a_folder import (
    CONFIGURATION,
    EVENING,
    MINUTE,
    Shed,
    load,
    minutes,
    said,
    shed_in,
)
from tests.simulated_feeds.records.still_day import air_day, shed_day


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    with shed_in(tmp_path / "data") as shed:
        yield shed


def test_messages_are_acknowledged_after_they_are_stored(shed: Shed) -> None:
    stored_then: list[int] = []
    shed.path.walk(
        minutes(8.0, 0, 3),
        stored=lambda: stored_then.append(len(shed.stores.readings.latest())),
    )
    assert stored_then == [1]


def test_a_message_that_comes_twice_is_one_reading(shed: Shed) -> None:
    assert shed.walk(*minutes(8.0, 0, 3), *minutes(8.0, 0, 3)) == 3


def test_messages_are_not_acknowledged_when_they_could_not_be_stored(shed: Shed) -> None:
    acknowledged: list[bool] = []
    with (
        patch.object(shed.stores.readings, "commit", side_effect=StoreUnavailableError("full")),
        pytest.raises(StoreUnavailableError),
    ):
        shed.path.walk(minutes(8.0, 0, 3), stored=lambda: acknowledged.append(True))
    assert acknowledged == []


def test_a_cold_night_raises_one_alarm_when_its_on_delay_is_over(shed: Shed) -> None:
    shed.walk(*minutes(8.0, 0, 5), *minutes(4.0, 5, 40))
    (alarm,) = shed.alarms("cold-night")
    assert (alarm.state, alarm.priority) == (AlarmState.UNACKNOWLEDGED, Priority.HIGH)
    assert alarm.raised_at == EVENING + 15 * MINUTE


def test_light_counts_before_the_warmth_of_the_same_message(shed: Shed) -> None:
    # Night once it was dark for ten minutes, too cold for ten minutes from then on.
    for n in range(42):
        measured = {"temperature": (3.0, "Cel"), "illuminance": (300.0 if n < 20 else 0.0, "lx")}
        at = EVENING + n * MINUTE
        shed.walk(
            Message(
                topic="clutchweather/th-shed/senml",
                payload=pack("th-shed", measured, at),
                received_at=at,
            )
        )
    (alarm,) = shed.alarms("cold-night")
    assert alarm.raised_at == EVENING + 40 * MINUTE


def test_an_alarm_tells_place_value_setpoint_and_local_time(shed: Shed) -> None:
    shed.walk(*minutes(4.24, 0, 12))
    (alarm,) = shed.alarms("cold-night")
    assert "4.2°" in alarm.text
    assert "under 5°" in alarm.text
    assert "22:00" in alarm.text


def test_a_breach_shorter_than_the_on_delay_raises_nothing(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 9), *minutes(6.0, 9, 40))
    assert shed.alarms("cold-night") == []


def test_an_alarm_clears_when_it_was_warm_for_the_off_delay(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20), *minutes(6.0, 20, 40))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED
    assert alarm.cleared_at == EVENING + 35 * MINUTE


def test_a_second_excursion_is_an_alarm_of_its_own(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20), *minutes(6.0, 20, 40), *minutes(4.0, 40, 60))
    second, first = shed.alarms("cold-night")
    assert (first.state, first.acknowledged_at) == (AlarmState.NORMAL, None)
    assert (second.state, second.raised_at) == (AlarmState.UNACKNOWLEDGED, EVENING + 50 * MINUTE)


def test_within_the_deadband_an_alarm_stays(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20), *minutes(5.2, 20, 60))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_the_on_delay_ends_by_time_where_no_further_reading_comes(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 9))
    shed.tick(EVENING + 11 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.raised_at == EVENING + 10 * MINUTE


def test_a_silent_sensor_raises_its_own_alarm_and_clears_nothing(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20))
    shed.tick(EVENING + timedelta(hours=6))
    (cold,) = shed.alarms("cold-night")
    (silent,) = shed.alarms("overdue:th-shed")
    assert cold.state is AlarmState.UNACKNOWLEDGED
    assert silent.raised_at == EVENING + 22 * MINUTE
    assert (silent.value, silent.setpoint) == (180.0, 180.0)


def test_a_sensor_that_was_never_heard_is_overdue_from_the_start_on(shed: Shed) -> None:
    shed.tick(EVENING + 4 * MINUTE)
    (alarm,) = shed.alarms("overdue:th-box")
    assert alarm.raised_at == EVENING + 3 * MINUTE
    assert "never heard" in alarm.text


def test_silence_while_the_broker_is_away_sends_nobody_to_a_battery(shed: Shed) -> None:
    shed.path.tick(EVENING + 4 * MINUTE, deaf=True)
    shed.path.save_alarms()
    (alarm,) = shed.alarms("overdue:th-box")
    assert "broker" in alarm.text
    assert "battery" not in alarm.text


def test_a_sign_of_life_clears_the_overdue_alarm(shed: Shed) -> None:
    shed.tick(EVENING + 4 * MINUTE)
    shed.walk(said(8.0, EVENING + 5 * MINUTE, device="th-box"))
    (alarm,) = shed.alarms("overdue:th-box")
    assert alarm.cleared_at == EVENING + 5 * MINUTE


def test_a_retained_message_is_no_sign_of_life(shed: Shed) -> None:
    shed.walk(said(8.0, EVENING - timedelta(hours=8), received_at=EVENING, retained=True))
    shed.tick(EVENING + 4 * MINUTE)
    assert len(shed.alarms("overdue:th-shed")) == 1


def test_a_retained_reading_without_a_time_becomes_a_dead_letter(shed: Shed) -> None:
    payload = b'[{"bn":"th-shed:","n":"temperature","u":"Cel","v":21}]'
    shed.walk(
        Message(
            topic="clutchweather/th-shed/senml",
            payload=payload,
            received_at=EVENING,
            retained=True,
        )
    )
    assert list(shed.stores.readings.latest()) == []
    (letter,) = shed.stores.readings.dead_letters()
    assert "retained" in letter.reason


def test_a_backlog_older_than_a_day_raises_nothing(shed: Shed) -> None:
    old = EVENING - timedelta(hours=40)
    shed.walk(*(said(1.0, old + n * MINUTE, received_at=EVENING) for n in range(60)))
    assert shed.alarms("cold-night") == []
    assert len(shed.stores.readings.window(1, old, EVENING)) == 60


def test_a_poison_message_costs_no_neighbour(shed: Shed) -> None:
    poison = Message(topic="clutchweather/x/senml", payload=b"\xff{", received_at=EVENING)
    assert shed.walk(said(8.0, EVENING), poison, said(8.1, EVENING + MINUTE)) == 2
    assert len(shed.stores.readings.dead_letters()) == 1


def test_an_unknown_sender_is_kept_with_its_value(shed: Shed) -> None:
    shed.walk(said(12.5, EVENING, device="th-new"))
    (stranger,) = shed.stores.readings.strangers()
    assert (stranger.device, stranger.measure, stranger.value) == ("th-new", "temperature", 12.5)


def test_a_stamp_from_the_future_is_not_believed_but_its_danger_is(shed: Shed) -> None:
    ahead = timedelta(days=3650)
    shed.walk(
        *(
            said(2.0, EVENING + n * MINUTE + ahead, received_at=EVENING + n * MINUTE)
            for n in range(15)
        )
    )
    (latest,) = shed.stores.readings.latest()
    assert (latest.measured_at, latest.flag) == (EVENING + 14 * MINUTE, Flag.SUSPECT)
    assert len(shed.alarms("cold-night")) == 1


def test_an_alarm_survives_a_restart_as_the_same_alarm(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20))
    before = shed.alarms("cold-night")
    shed.restart(EVENING + 20 * MINUTE)
    shed.walk(*minutes(4.0, 20, 40))
    assert shed.alarms("cold-night") == before


def test_an_alarm_clears_after_a_restart(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 20), *minutes(6.0, 20, 30))
    shed.restart(EVENING + 30 * MINUTE)
    shed.walk(*minutes(6.0, 30, 40))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.cleared_at == EVENING + 35 * MINUTE


def test_readings_stored_but_not_assessed_before_a_crash_still_raise(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 5))
    with patch.object(shed.path, "_assess"):
        shed.walk(*minutes(4.0, 5, 12))
    shed.restart(EVENING + 12 * MINUTE)
    shed.tick(EVENING + 12 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.raised_at == EVENING + 10 * MINUTE


def test_a_restart_in_the_middle_of_the_on_delay_delays_nothing(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 9))
    shed.restart(EVENING + 9 * MINUTE)
    shed.walk(*minutes(4.0, 9, 12))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.raised_at == EVENING + 10 * MINUTE


def test_readings_that_can_not_be_stored_are_assessed_all_the_same(shed: Shed) -> None:
    shed.path.heed(minutes(4.0, 0, 12))
    shed.path.save_alarms()
    assert len(shed.alarms("cold-night")) == 1


def test_what_was_heeded_and_is_stored_later_raises_no_second_alarm(shed: Shed) -> None:
    shed.path.heed(minutes(4.0, 0, 12))
    shed.walk(*minutes(4.0, 0, 12))
    assert len(shed.alarms("cold-night")) == 1


def test_a_store_that_refuses_alarms_gets_them_later(shed: Shed) -> None:
    with patch.object(shed.stores.records.alarms, "put", side_effect=StoreUnavailableError("busy")):
        shed.path.walk(minutes(4.0, 0, 12), stored=lambda: None)
        with pytest.raises(StoreUnavailableError):
            shed.path.save_alarms()
    shed.path.save_alarms()
    assert len(shed.alarms("cold-night")) == 1


def test_acknowledging_makes_an_active_alarm_acknowledged(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 12))
    (alarm,) = shed.alarms("cold-night")
    shed.path.alarms.acknowledge(alarm.id, by="keeper", at=EVENING + 13 * MINUTE)
    shed.path.save_alarms()
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.ACKNOWLEDGED
    assert alarm.acknowledged_at == EVENING + 13 * MINUTE


def test_a_limit_that_is_set_no_more_does_not_keep_its_alarm(shed: Shed) -> None:
    shed.walk(*minutes(4.0, 0, 12))
    without = (shed.data / "clutchweather.toml").read_text().replace("cold-night", "other")
    shed.stores.close()
    again = Shed(shed.data, without)
    again.path.restore(EVENING + 13 * MINUTE)
    again.path.save_alarms()
    (alarm,) = again.alarms("cold-night")
    assert not alarm.state.active
    again.stores.close()


TWO_THERMOMETERS = CONFIGURATION.replace('place = "box-1"', 'place = "shed"')


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Shed]:
    """A shed in which th-shed and th-box stand side by side."""
    with shed_in(tmp_path / "pair", TWO_THERMOMETERS) as shed:
        yield shed


def test_of_two_sensors_the_second_keeps_the_alarm_up(pair: Shed) -> None:
    both = [*minutes(4.0, 0, 20), *minutes(4.0, 0, 20, device="th-box")]
    pair.walk(*sorted(both, key=lambda message: message.received_at))
    pair.walk(*minutes(6.0, 20, 40))
    (alarm,) = pair.alarms("cold-night")
    assert alarm.state.active


def test_a_sensor_that_was_dead_before_keeps_no_alarm_up_after_a_restart(pair: Shed) -> None:
    long_ago = EVENING - timedelta(hours=3)
    pair.walk(said(8.0, long_ago, device="th-box", received_at=EVENING))
    pair.walk(*minutes(4.0, 0, 20))
    pair.restart(EVENING + 20 * MINUTE)
    pair.walk(*minutes(6.0, 20, 40))
    (alarm,) = pair.alarms("cold-night")
    assert not alarm.state.active


def test_a_sensor_that_raised_the_alarm_and_died_keeps_it_up_after_a_restart(pair: Shed) -> None:
    pair.walk(*minutes(4.0, 0, 20))
    pair.walk(*minutes(8.0, 20, 40, device="th-box"))
    pair.restart(EVENING + 40 * MINUTE)
    pair.walk(*minutes(8.0, 40, 60, device="th-box"))
    (alarm,) = pair.alarms("cold-night")
    assert alarm.state.active


def test_the_overdue_alarm_of_a_sensor_that_was_removed_is_over(shed: Shed) -> None:
    shed.tick(EVENING + 4 * MINUTE)
    shed.stores.close()
    without = CONFIGURATION.replace('device = "th-box"', 'device = "th-new"')
    again = Shed(shed.data, without)
    again.path.restore(EVENING + 5 * MINUTE)
    again.path.save_alarms()
    (alarm,) = again.alarms("overdue:th-box")
    assert not alarm.state.active
    again.stores.close()


def test_a_sender_whose_clock_is_ahead_can_clear_its_alarm(shed: Shed) -> None:
    ahead = timedelta(minutes=6)

    def told(celsius: float, since: int, until: int) -> list[Message]:
        times = [EVENING + n * MINUTE for n in range(since, until)]
        return [said(celsius, at + ahead, received_at=at) for at in times]

    shed.walk(*told(4.0, 0, 20), *told(6.0, 20, 40))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.cleared_at == EVENING + 35 * MINUTE


def test_a_pack_with_its_newest_record_first_hides_no_breach(shed: Shed) -> None:
    base = EVENING.timestamp()
    records = ",".join(
        f'{{"n":"th-shed:temperature","u":"Cel","v":4,"t":{base + 60 * n}}}'
        for n in reversed(range(15))
    )
    message = Message(
        topic="clutchweather/th-shed/senml",
        payload=f"[{records}]".encode(),
        received_at=EVENING + 15 * MINUTE,
    )
    shed.walk(message)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.raised_at == EVENING + 10 * MINUTE


def test_a_message_that_meets_a_fault_of_ours_is_kept_and_costs_no_neighbour(
    shed: Shed,
) -> None:
    real = shed.path._decode

    def decode(message: Message) -> Decoded:
        if message.payload == b"surprise":
            raise RuntimeError("nobody thought of this")
        return real(message)

    surprise = Message(topic="clutchweather/x/senml", payload=b"surprise", received_at=EVENING)
    with patch.object(shed.path, "_decode", decode):
        assert shed.walk(surprise, said(8.0, EVENING)) == 1
    (letter,) = shed.stores.readings.dead_letters()
    assert "a fault in this service" in letter.reason


def test_a_thermometer_that_sends_nonsense_is_overdue(shed: Shed) -> None:
    shed.walk(*minutes(-127.0, 0, 10))
    shed.tick(EVENING + 10 * MINUTE)
    assert len(shed.alarms("overdue:th-shed")) == 1


def test_a_sender_whose_clock_stands_in_the_last_month_is_overdue(shed: Shed) -> None:
    behind = timedelta(days=30)
    times = [EVENING + n * MINUTE for n in range(10)]
    shed.walk(*(said(3.0, at - behind, received_at=at) for at in times))
    shed.tick(EVENING + 10 * MINUTE)
    assert len(shed.alarms("overdue:th-shed")) == 1


def test_light_sensors_that_disagree_switch_no_limit_off(tmp_path: Path) -> None:
    eyes = "".join(
        f'\n[[sensor]]\ndevice = "eye-{n}"\nplace = "shed"\ninterval = "60 s"\n' for n in (1, 2)
    )
    with shed_in(tmp_path / "eyes", CONFIGURATION + eyes) as shed:
        for n in range(30):
            at = EVENING + n * MINUTE
            shed.walk(lux(300.0, at, "eye-1"), lux(0.0, at, "eye-2"), said(3.0, at))
        assert len(shed.alarms("cold-night")) == 1


def lux(value: float, at: datetime, device: str) -> Message:
    return Message(
        topic=f"clutchweather/{device}/senml",
        payload=pack(device, {"illuminance": (value, "lx")}, at),
        received_at=at,
    )


def test_silence_while_nobody_listened_is_forgiven_once(shed: Shed) -> None:
    shed.walk(*minutes(8.0, 0, 5))
    later = EVENING + timedelta(hours=3)
    shed.restart(later)
    shed.tick(later + 2 * MINUTE)
    assert shed.alarms("overdue:th-shed") == []
    shed.restart(later + 2 * MINUTE)
    shed.tick(later + 4 * MINUTE)
    (alarm,) = shed.alarms("overdue:th-shed")
    assert alarm.raised_at == later + 3 * MINUTE


def test_a_clock_put_back_hides_no_silence(shed: Shed) -> None:
    shed.walk(*minutes(8.0, 0, 5))
    earlier = EVENING - timedelta(hours=6)
    shed.path.restore(earlier)
    shed.tick(earlier + 4 * MINUTE)
    assert len(shed.alarms("overdue:th-shed")) == 1


def test_a_clock_put_back_hides_no_cold(shed: Shed) -> None:
    shed.walk(*minutes(8.0, 0, 5))
    earlier = EVENING - timedelta(hours=1)
    shed.path.restore(earlier)
    shed.walk(*(said(3.0, earlier + n * MINUTE) for n in range(15)))
    assert len(shed.alarms("cold-night")) == 1


def test_a_gap_is_noted(shed: Shed) -> None:
    from service.store.reading_store import Gap

    shed.path.record_gaps([Gap(at=EVENING, reason="the broker forgot us")])
    assert [gap.reason for gap in shed.stores.readings.gaps()] == ["the broker forgot us"]


def test_an_empty_walk_stores_nothing(shed: Shed) -> None:
    assert shed.walk() == 0
    assert shed.stores.readings.commit(Batch()) == 0


# -- senders whose words are described later, or not wanted ----------------------------------

RADIO = (
    CONFIGURATION
    + """
[[sensor]]
device = "green"
place = "box-1"
interval = "60 s"
"""
)
RADIO_FEED = (
    RADIO
    + """
[[feed]]
topic = "radio/+"
format = "json"
device = { level = 2 }
fields = [{ pointer = "/temp", quantity = "temperature", unit = "Cel" }]
"""
)
AS_TEXT = """
[[feed]]
topic = "radio/+"
format = "number"
device = { level = 2 }
quantity = "temperature"
unit = "Cel"
"""


def radio(payload: str, minute: float = 0, *, device: str = "green", **more: bool) -> Message:
    return Message(
        topic=f"radio/{device}",
        payload=payload.encode(),
        received_at=EVENING + minute * MINUTE,
        **more,
    )


def described_anew(
    data: Path, *, before: Sequence[Message], now: datetime, feed: str = RADIO_FEED
) -> Shed:
    """A shed that could not read the radio before, and can now."""
    with shed_in(data, RADIO + AS_TEXT) as shed:
        shed.walk(*before)
    shed = Shed(data, feed)
    shed.path.restore(now, forgiving=False)
    return shed


def values(shed: Shed, device: str) -> list[float]:
    return [
        one.value
        for series in shed.stores.readings.series()
        if series.device == device
        for one in shed.stores.readings.window(
            series.id, EVENING - timedelta(days=400), EVENING + timedelta(days=2)
        )
    ]


def test_a_message_that_can_not_be_read_is_kept_for_the_keeper_to_describe(tmp_path: Path) -> None:
    with shed_in(tmp_path / "data", RADIO + AS_TEXT) as shed:
        shed.walk(radio('{"temp":1}'), radio('{"temp":2}', 1))
        (kept,) = shed.stores.readings.overheard()
        assert (kept.topic, kept.payload, kept.count) == ("radio/green", b'{"temp":2}', 2)
        assert "not a plain number" in kept.reason


def test_a_topic_that_is_understood_again_is_no_longer_to_be_described(tmp_path: Path) -> None:
    with shed_in(tmp_path / "data", RADIO + AS_TEXT) as shed:
        shed.walk(radio("{}"))
        shed.walk(radio("4.5", 1))
        assert shed.stores.readings.overheard() == []


def test_a_topic_that_is_described_is_no_longer_overheard_from_the_next_start_on(
    tmp_path: Path,
) -> None:
    before = [radio('{"temp":4}'), radio("?", device="blue")]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + MINUTE)
    assert [one.topic for one in shed.stores.readings.overheard()] == ["radio/blue"]
    shed.stores.close()


def test_messages_read_again_become_readings_of_their_own_arrival_and_leave_the_dead_letters(
    tmp_path: Path,
) -> None:
    before = [radio(f'{{"temp":{n}}}', n) for n in range(12)] + [radio("{}", 12), radio("?", 13)]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + 20 * MINUTE)
    told = shed.path.retry("radio/green", EVENING + 20 * MINUTE)
    assert str(told).startswith("12 of 14 could be read.")
    assert "nothing stands at" in str(told)
    assert values(shed, "green") == [float(n) for n in range(12)]
    (latest,) = shed.stores.readings.latest()
    assert latest.received_at == EVENING + 11 * MINUTE
    assert {one.payload for one in shed.stores.readings.dead_letters()} == {b"{}", b"?"}
    shed.stores.close()


def test_more_messages_than_are_held_at_once_are_all_read_again(tmp_path: Path) -> None:
    """Also where some of each portion stay, and some leave a part of themselves."""
    with_humidity = RADIO_FEED.replace(
        "fields = [",
        'fields = [{ pointer = "/hum", quantity = "relative_humidity", unit = "%" }, ',
    )
    unread = {n: f"?{n}" for n in range(0, 900, 7)}
    half = {n: f'{{"temp":{n / 100},"hum":"wet"}}' for n in range(1, 900, 7)}
    sent = [(unread | half).get(n, f'{{"temp":{n / 100}}}') for n in range(900)]
    before = [radio(payload, n) for n, payload in enumerate(sent)]
    now = EVENING + 901 * MINUTE
    shed = described_anew(tmp_path / "data", before=before, now=now, feed=with_humidity)
    told = shed.path.retry("radio/green", now)
    assert values(shed, "green") == [n / 100 for n in range(900) if n not in unread]
    assert told.read == 900 - len(unread)
    left = {one.payload.decode() for one in shed.stores.readings.dead_letters()}
    assert left == {*unread.values(), *half.values()}
    shed.stores.close()


def test_messages_read_again_a_second_time_change_nothing(tmp_path: Path) -> None:
    before = [radio('{"temp":4}'), radio("{}", 1)]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + 20 * MINUTE)
    shed.path.retry("radio/green", EVENING + 20 * MINUTE)
    letters = shed.stores.readings.dead_letters()
    assert str(shed.path.retry("radio/green", EVENING + 20 * MINUTE)).startswith("0 of 1")
    assert shed.stores.readings.dead_letters() == letters
    assert str(shed.path.retry("radio/blue", EVENING)).startswith("There are no messages")
    shed.stores.close()


def test_old_messages_read_again_raise_no_alarm_and_are_no_sign_of_life(tmp_path: Path) -> None:
    cold = RADIO_FEED.replace('place = "box-1"\ninterval', 'place = "shed"\ninterval')
    data = tmp_path / "data"
    with shed_in(
        data,
        cold.replace('format = "json"', 'format = "senml"').replace(
            'fields = [{ pointer = "/temp", quantity = "temperature", unit = "Cel" }]', ""
        ),
    ) as shed:
        shed.walk(*(radio('{"temp":1}', n) for n in range(60)))
    later = EVENING + timedelta(days=1)
    shed = Shed(data, cold)
    shed.path.restore(later, forgiving=True)
    assert shed.path.retry("radio/green", later).read == 60
    shed.path.tick(later + MINUTE)
    shed.path.save_alarms()
    assert shed.alarms("cold-night") == []
    shed.tick(later + 10 * MINUTE)
    (silent,) = shed.alarms("overdue:green")
    assert "never heard" in silent.text
    shed.stores.close()


def test_a_retained_message_without_a_time_stays_unread(tmp_path: Path) -> None:
    before = [radio('{"temp":1}', retained=True)]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + MINUTE)
    assert shed.path.retry("radio/green", EVENING + MINUTE).read == 0
    assert values(shed, "green") == []
    assert len(shed.stores.readings.dead_letters()) == 1
    shed.stores.close()


def test_a_message_of_a_sender_without_a_place_stays_and_says_so(tmp_path: Path) -> None:
    before = [radio('{"temp":1}', device="blue")]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + MINUTE)
    told = str(shed.path.retry("radio/blue", EVENING + MINUTE))
    assert told == "0 of 1 could be read. Not read: blue has no place yet."
    assert len(shed.stores.readings.dead_letters()) == 1
    shed.stores.close()


def test_a_failed_commit_of_messages_read_again_changes_nothing(tmp_path: Path) -> None:
    before = [radio('{"temp":4}')]
    shed = described_anew(tmp_path / "data", before=before, now=EVENING + MINUTE)
    with (
        patch.object(shed.stores.readings, "commit", side_effect=StoreUnavailableError("full")),
        pytest.raises(StoreUnavailableError),
    ):
        shed.path.retry("radio/green", EVENING + MINUTE)
    assert len(shed.stores.readings.dead_letters()) == 1
    shed.stores.close()


def test_an_ignored_sender_leaves_nothing_but_a_count(tmp_path: Path) -> None:
    data = tmp_path / "data"
    settings = replace(load(data, RADIO_FEED), ignored=frozenset({"blue", "th-next-door"}))
    stores = open_stores(settings, data, writer=True)
    path = reading_path(settings, stores)
    path.restore(EVENING)
    path.walk(
        [
            radio('{"temp":1}', device="blue"),
            radio('{"temp":null}', device="blue"),
            radio("{}", device="blue"),
            radio("?", device="blue"),
            said(4.0, EVENING, device="th-next-door"),
            said(4.0, EVENING),
        ],
        stored=lambda: None,
    )
    assert path.ignored == 4
    kept = stores.readings
    assert (kept.strangers(), kept.dead_letters(), kept.overheard()) == ([], [], [])
    assert [one.series.device for one in kept.latest()] == ["th-shed"]
    stores.close()


def test_a_stranger_is_one_no_more_when_it_got_a_place_or_is_ignored(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with shed_in(data) as shed:
        shed.walk(*(said(4.0, EVENING, device=name) for name in ("green", "blue", "red")))
    settings = replace(load(data, RADIO), ignored=frozenset({"blue"}))
    stores = open_stores(settings, data, writer=True)
    reading_path(settings, stores).restore(EVENING)
    assert [one.device for one in stores.readings.strangers()] == ["red"]
    stores.close()


# -- two devices of one name -----------------------------------------------------------------


def of_run(boot: str, seq: int, minute: float, *, retained: bool = False) -> Message:
    at = EVENING + minute * MINUTE
    told = [
        {"bn": "th-shed:", "bt": at.timestamp(), "n": "temperature", "u": "Cel", "v": 8.0},
        {"n": "seq", "v": seq},
        {"n": "boot", "vs": boot},
    ]
    return Message(
        topic="clutchweather/th-shed/senml",
        payload=json.dumps(told).encode(),
        received_at=at,
        retained=retained,
    )


def test_two_devices_of_one_name_are_told_and_both_are_stored(shed: Shed) -> None:
    new = shed.walk(*(of_run("ab"[n % 2], 10 + n, n / 2) for n in range(4)))
    assert new == 4
    (alarm,) = shed.alarms("twins:th-shed")
    assert (alarm.priority, alarm.place, alarm.raised_at) == (
        Priority.MEDIUM,
        "shed",
        EVENING + MINUTE,
    )
    assert "two devices call themselves th-shed since 22:01" in alarm.text
    assert shed.path.twins() == (alarm.text,)


def test_a_simulated_twin_is_told_within_two_minutes(shed: Shed) -> None:
    until = EVENING + 2 * MINUTE
    sender = Sender(
        device="th-shed",
        place="shed",
        where=Where.SHED,
        kind=SenderKind.AIR,
        interval=MINUTE,
    )
    twin = Happening(what=What.TWIN, since=EVENING, until=until, who="th-shed")
    days = [shed_day(air_day(EVENING - timedelta(hours=1)))]
    spoken = simulated_messages(days, [sender], seed=1, happenings=[twin], until=until)
    shed.walk(*(Message(topic=t, payload=p, received_at=at) for at, t, p, _ in spoken))
    assert [one.rule for one in shed.alarms()].count("twins:th-shed") == 1


def test_twins_end_when_one_is_heard_alone_also_after_a_restart(shed: Shed) -> None:
    shed.walk(*(of_run("ab"[n % 2], 10 + n, n / 2) for n in range(4)))
    shed.restart(EVENING + 3 * MINUTE)
    assert len(shed.path.twins()) == 1
    shed.walk(*(of_run("a", 20 + n, 3 + n) for n in range(20)))
    (alarm,) = shed.alarms("twins:th-shed")
    assert alarm.cleared_at == EVENING + 18 * MINUTE
    assert shed.path.twins() == ()


def test_what_the_broker_had_kept_makes_no_twins(shed: Shed) -> None:
    shed.walk(*(of_run("ab"[n % 2], 10 + n, n / 2, retained=bool(n % 2)) for n in range(6)))
    assert shed.alarms("twins:th-shed") == []


def test_a_batch_that_is_assessed_before_it_can_be_stored_makes_no_twins(shed: Shed) -> None:
    batch = [of_run("a", n, n) for n in range(3)] + [of_run("b", n, 3 + n) for n in range(3)]
    shed.path.heed(batch)
    shed.walk(*batch)
    assert shed.alarms("twins:th-shed") == []
