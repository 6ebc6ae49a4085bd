"""Waiting for the first sensor: what to type into it, who is heard, the first value."""

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from dashboards.views.waiting_view import EXAMPLE, WaitingView, reach, waiting_view
from devices.formats.senml import decode
from devices.message import Message
from devices.reading import Quantity
from devices.sensor import Feed, Format
from service.intake.broker_address import BrokerAddress
from service.intake.broker_standing import BrokerStanding
from service.quality.flag import Flag
from service.settings.settings import Settings
from service.store.reading_store import Latest, Overheard, Series, Stranger
from tests.dashboards.filled_shed import NOW, settings


def view(
    shed: Settings,
    *,
    newest: tuple[Latest, ...] = (),
    strangers: tuple[Stranger, ...] = (),
    overheard: tuple[Overheard, ...] = (),
) -> WaitingView:
    return waiting_view(
        shed,
        newest=newest,
        strangers=strangers,
        overheard=overheard,
        standing=None,
        own_addresses=("192.0.2.7",),
        accounts=False,
        broker="connected",
        well=True,
        now=NOW,
    )


def latest(quantity: Quantity, value: float, *, age: timedelta, device: str = "th-shed") -> Latest:
    at = NOW - age
    series = Series(id=1, device=device, place="shed", quantity=quantity)
    return Latest(
        series=series, measured_at=at, received_at=at, value=value, flag=Flag.PASS, reason=""
    )


def stranger(device: str, measure: str, value: float) -> Stranger:
    topic = f"clutchweather/{device}/senml"
    at = NOW - timedelta(seconds=4)
    return Stranger(device=device, measure=measure, topic=topic, value=value, unit="Cel", at=at)


def test_the_example_is_a_message_that_is_understood() -> None:
    assert json.loads(EXAMPLE)
    feed = Feed(topic="clutchweather/+/senml", format=Format.SENML)
    message = Message(
        topic="clutchweather/th-shed/senml", payload=EXAMPLE.encode(), received_at=NOW
    )
    said = decode(feed, message)
    assert said.faults == ()
    assert {(one.device, one.measure, one.value) for one in said.measurements} == {
        ("th-shed", "temperature", 18.4),
        ("th-shed", "relative_humidity", 61.0),
    }


def test_a_sender_is_one_row_with_all_that_it_measures(tmp_path: Path) -> None:
    found = view(
        settings(tmp_path),
        strangers=(stranger("new-1", "temperature", 21.5), stranger("new-1", "t2", 20)),
    )
    (row,) = found.senders
    assert (row.name, row.said, row.age) == ("new-1", "temperature 21.5 °C, t2 20 °C", "4 s ago")


def test_sensors_with_a_place_and_ignored_senders_are_no_strangers(tmp_path: Path) -> None:
    shed = replace(settings(tmp_path), ignored=frozenset({"loud"}))
    found = view(shed, strangers=(stranger("th-shed", "x", 1), stranger("loud", "x", 1)))
    assert found.senders == ()


def test_the_first_value_is_told_with_its_place_and_age(tmp_path: Path) -> None:
    damp = latest(Quantity.RELATIVE_HUMIDITY, 61, age=timedelta(seconds=1))
    warm = latest(Quantity.TEMPERATURE, 18.4, age=timedelta(seconds=40))
    value = view(settings(tmp_path), newest=(damp, warm)).value
    assert value is not None
    assert (value.place, value.quantity, value.age) == ("Hazel shed", "temperature", "40 s old")
    assert not value.stale


def test_an_old_value_is_not_taken_for_the_present(tmp_path: Path) -> None:
    old = latest(Quantity.TEMPERATURE, 18.4, age=timedelta(hours=1))
    value = view(settings(tmp_path), newest=(old,)).value
    assert value is not None
    assert value.stale


def test_a_value_of_a_sender_without_a_place_is_none(tmp_path: Path) -> None:
    new = latest(Quantity.TEMPERATURE, 18.4, age=timedelta(seconds=1), device="new-1")
    assert view(settings(tmp_path), newest=(new,)).value is None


def test_more_than_a_page_can_show_is_counted(tmp_path: Path) -> None:
    heard = tuple(
        Overheard(topic=f"t/{n}", payload=b"x", reason="no feed", at=NOW) for n in range(30)
    )
    found = view(settings(tmp_path), overheard=heard)
    assert len(found.topics) + found.more == 30


def test_a_broker_of_this_machine_alone_can_t_be_reached(tmp_path: Path) -> None:
    shed = replace(settings(tmp_path), broker_told=False)
    standing = BrokerStanding(words="it answers this machine only", host="127.0.0.1")
    assert reach(shed, standing, ("192.0.2.7",)).hosts == ()


def test_our_own_broker_is_reached_where_it_says(tmp_path: Path) -> None:
    shed = replace(settings(tmp_path), broker_told=False)
    standing = BrokerStanding(
        words="", host="127.0.0.1", reached_at=("192.0.2.7",), device_port=1884, tls_port=8883
    )
    found = reach(shed, standing, ())
    assert (found.hosts, found.port, found.tls_port) == (("192.0.2.7",), 1884, 8883)


def test_a_broker_that_was_named_is_told_as_it_was_named(tmp_path: Path) -> None:
    shed = replace(settings(tmp_path), broker=BrokerAddress(host="mq.example", port=8883, tls=True))
    found = reach(shed, None, ("192.0.2.7",))
    assert (found.hosts, found.port, found.tls_port) == (("mq.example",), None, 8883)
