"""The watch as a process, asked to listen to everything and to read dead letters again."""

import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.heartbeat import Heartbeat, heartbeat_file, read_heartbeat
from service.store.alarm_store import RequestKind
from service.store.reading_store import Overheard
from service.store.sql_records import open_records
from service.store.sqlite_readings import SqliteReadings
from tests.listening import publish, wait_until
from tests.walks.command_line import shown
from tests.walks.running_shed import SHED, RunningShed, running_shed

pytestmark = [pytest.mark.broker, pytest.mark.faults]

AS_NUMBER = """
[[feed]]
topic = "radio/+"
format = "number"
device = { level = 2 }
quantity = "temperature"
unit = "Cel"

[[sensor]]
device = "green"
place = "box-1"
interval = "60 s"
"""
AS_JSON = AS_NUMBER.replace('"number"', '"json"').replace(
    'quantity = "temperature"\nunit = "Cel"',
    'fields = [{ pointer = "/temp", quantity = "temperature", unit = "Cel" }]',
)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path, configuration=SHED + AS_NUMBER) as shed:
        yield shed


def overheard(shed: RunningShed) -> list[Overheard]:
    with closing(SqliteReadings(shed.data / "readings.db", writer=False)) as store:
        return list(store.overheard())


def beat(shed: RunningShed) -> Heartbeat:
    found = read_heartbeat(heartbeat_file(shed.data))
    assert found is not None
    return found


def asked(shed: RunningShed, kind: RequestKind, subject: str = "") -> str:
    """Ask, and wait for what came of it."""
    with closing(open_records("sqlite:///records.db", shed.data)) as records:
        number = records.requests.ask(kind, subject, by="keeper", at=datetime.now(UTC))
        settled: Callable[[], bool] = lambda: records.requests.outcome(number) is not None  # noqa: E731
        wait_until(settled, within=4)
        return records.requests.outcome(number) or ""


def test_a_foreign_topic_is_overheard_only_while_a_round_lasts(shed: RunningShed) -> None:
    shed.watch()
    publish(shed.broker.address, ["1"], topic="gateway/before")
    assert beat(shed).round_left_s() == 0
    assert asked(shed, RequestKind.LISTEN_ROUND) == "listening to every topic for 10 minutes"
    wait_until(lambda: 590 < beat(shed).round_left_s() <= 600, within=6)
    wait_until(lambda: "SUBSCRIBE" in shed.broker.log().split("-round", 1)[1])
    publish(shed.broker.address, ['{"temp":4}'], topic="gateway/new")
    publish(shed.broker.address, ["4.5"], topic="radio/green")
    wait_until(lambda: bool(overheard(shed)), within=8)
    assert [one.topic for one in overheard(shed)] == ["gateway/new"]


def test_a_restart_of_the_watch_ends_a_round(shed: RunningShed) -> None:
    watch = shed.watch()
    asked(shed, RequestKind.LISTEN_ROUND)
    wait_until(lambda: beat(shed).round_left_s() > 0, within=6)
    watch.terminate()
    watch.wait(10)
    shed.watch()
    time.sleep(2.5)
    assert beat(shed).round_left_s() == 0


def test_messages_that_could_not_be_read_can_be_when_their_feed_is_described(
    shed: RunningShed,
) -> None:
    watch = shed.watch()
    publish(shed.broker.address, [f'{{"temp":{n}}}' for n in range(12)], topic="radio/green")
    publish(shed.broker.address, ["{}", "?"], topic="radio/green")
    wait_until(lambda: len(shown("dead-letters", shed.data)) == 14, within=10)
    assert [one.topic for one in overheard(shed)] == ["radio/green"]
    watch.terminate()
    watch.wait(10)
    file = shed.data / "clutchweather.toml"
    file.write_text(file.read_text().replace(AS_NUMBER, AS_JSON))
    shed.watch()
    outcome = asked(shed, RequestKind.RETRY_LETTERS, "radio/green")
    assert outcome.startswith("12 of 14 could be read.")
    assert len(shown("dead-letters", shed.data)) == 2
    (latest,) = shown("latest", shed.data)
    assert (latest["value"], latest["place"]) == (11.0, "box-1")
