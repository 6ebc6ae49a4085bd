"""The loop of watch within one process, over a real broker."""

import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.alarms.alarm import AlarmState
from service.alarms.shelf_wish import ShelfWish
from service.answers.health import pulse
from service.clock import SystemClock
from service.heartbeat import Heartbeat, heartbeat_file, read_heartbeat
from service.settings.settings import Settings
from service.store.alarm_store import RequestKind
from service.wiring import Stores, build_watch, open_stores
from tests.broker_fixture import running_broker
from tests.listening import publish, wait_until
from tests.service.shed_in_a_folder import load
from tests.walks.running_shed import SHED

pytestmark = pytest.mark.broker


@contextmanager
def watching(settings: Settings, data: Path, stores: Stores) -> Iterator[None]:
    """A watch that runs until its settings are said to have changed."""
    changed = threading.Event()
    watch = build_watch(settings, data, stores, SystemClock())
    thread = threading.Thread(target=watch.run, args=(threading.Event(), changed.is_set))
    thread.start()
    try:
        yield
    finally:
        changed.set()
        thread.join(15)
        assert not thread.is_alive()


def round_left_s(data: Path) -> float:
    beat = read_heartbeat(heartbeat_file(data))
    return 0.0 if beat is None else beat.round_left_s()


def told_by(data: Path, claim: Callable[[Heartbeat], bool]) -> bool:
    beat = read_heartbeat(heartbeat_file(data))
    return beat is not None and claim(beat)


def test_a_round_of_listening_outlives_a_change_of_the_settings(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with running_broker(tmp_path / "broker") as broker:
        text = SHED.replace("BROKER", str(broker.port)).replace("PAGES", "8460")
        settings = load(data, text)
        stores = open_stores(settings, data, writer=True)
        with watching(settings, data, stores):
            stores.records.requests.ask(RequestKind.LISTEN_ROUND, "", by=None, at=datetime.now(UTC))
            wait_until(lambda: round_left_s(data) > 590)
        heartbeats = heartbeat_file(data)
        before = heartbeats.stat().st_mtime_ns
        with watching(settings, data, stores):
            wait_until(lambda: heartbeats.stat().st_mtime_ns != before)
            assert 0 < round_left_s(data) <= 600
            wait_until(lambda: broker.log().count("-round") > 1)

            # Published until the new round listens.
            def heard() -> bool:
                publish(broker.address, ["4"], topic="gateway/new")
                return bool(stores.readings.overheard())

            wait_until(heard)
        stores.close()


def test_an_alarm_that_came_and_went_in_the_last_batch_outlives_a_change_of_the_settings(
    tmp_path: Path,
) -> None:
    """What is over is told by no later reading: only what is stored tells of it."""
    at_once = SHED.replace('on_delay = "10 min"', 'on_delay = "0 min"')
    at_once = at_once.replace('off_delay = "15 min"', 'off_delay = "0 min"')
    at_once = at_once.replace('when = "night"\n', "")
    data = tmp_path / "data"
    with running_broker(tmp_path / "broker") as broker:
        text = at_once.replace("BROKER", str(broker.port)).replace("PAGES", "8460")
        stores = open_stores(load(data, text), data, writer=True)
        with watching(load(data, text), data, stores):
            wait_until(lambda: told_by(data, lambda beat: pulse(beat).well["listener"]))
            pack = [
                {"n": "th-shed:temperature", "u": "Cel", "v": celsius, "t": -ago_s}
                for celsius, ago_s in ((18.0, 40), (-2.0, 30), (-2.1, 20), (18.0, 10), (18.1, 0))
            ]
            publish(broker.address, [json.dumps(pack)], topic="clutchweather/th-shed/senml")
            wait_until(lambda: told_by(data, lambda beat: beat.last_message_at is not None))
            assert stores.readings.latest() == []  # the batch is open still
        (alarm,) = stores.records.alarms.alarms(None, None)
        assert (alarm.rule, alarm.state) == ("cold-night", AlarmState.RETURNED_UNACKNOWLEDGED)
        stores.close()


def test_what_a_page_asks_to_shelve_is_shelved_within_two_seconds(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with running_broker(tmp_path / "broker") as broker:
        text = SHED.replace("BROKER", str(broker.port)).replace("PAGES", "8460")
        settings = load(data, text)
        stores = open_stores(settings, data, writer=True)
        requests = stores.records.requests
        with watching(settings, data, stores):
            wait_until(lambda: told_by(data, lambda beat: pulse(beat).well["listener"]))
            wish = ShelfWish(reason="cleaning out", for_s=1800.0).to_text()
            now = datetime.now(UTC)
            asked = requests.ask(RequestKind.SHELVE, "cold-night", by="Ida", at=now, body=wish)
            wait_until(lambda: requests.outcome(asked) is not None, 2.0)
            assert requests.outcome(asked) == "done"
        (shelf,) = stores.records.alarms.suppressions()
        assert (shelf.rule, shelf.by, shelf.reason) == ("cold-night", "Ida", "cleaning out")
        stores.close()
