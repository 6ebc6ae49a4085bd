"""Settings changed on pages while watch runs: in force at once, and nothing forgiven.

Over a real broker and a real watch in a process of its own; the editor is the pages' own.
"""

import json
import sqlite3
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.formats import senml
from service.answers.health import pulse
from service.heartbeat import heartbeat_file, read_heartbeat
from service.nests.place import PlaceKind
from service.settings import edits
from service.settings.editing import Edit, SettingsEditor
from service.settings.load import read_file
from service.settings.settings import Settings
from service.store.sql_records import Records, open_records
from service.store.sqlite_readings import SqliteReadings
from tests.listening import publish, wait_until
from tests.walks.command_line import shown
from tests.walks.running_shed import SHED, RunningShed, free_port, running_shed

pytestmark = pytest.mark.broker


class Pages:
    """What pages do to the settings of a running shed."""

    def __init__(self, shed: RunningShed, records: Records) -> None:
        self.shed = shed
        self.records = records
        self._editor = SettingsEditor(
            stated=read_file(None, shed.data),
            data=shed.data,
            kept=records.kept,
            book=records.nest_book,
        )

    def change(self, *changed: Edit) -> Settings:
        for edit in changed:
            settings = self._editor.change(edit, by="Ida", at=datetime.now(UTC))
        return settings

    def say(self, device: str, celsius: float) -> None:
        pack = json.dumps([{"n": f"{device}:temperature", "u": "Cel", "v": celsius}])
        publish(self.shed.broker.address, [pack], topic=f"clutchweather/{device}/senml")

    def deadline(self, device: str) -> datetime | None:
        store = SqliteReadings(self.shed.data / "readings.db", writer=False)
        try:
            found = {one.device: one.deadline for one in store.deadlines()}
        finally:
            store.close()
        return found.get(device)

    def alarms(self, rule: str) -> list[dict[str, str]]:
        return [alarm for alarm in shown("alarms", self.shed.data) if alarm["rule"] == rule]

    def times_built(self) -> int:
        log = (self.shed.data.parent / "service.log").read_text()
        return log.count("settings changed (revision")


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Pages]:
    with running_shed(tmp_path) as shed:
        records = open_records("sqlite:///records.db", shed.data)
        try:
            yield Pages(shed, records)
        finally:
            records.close()


def places_of(data: Path, device: str) -> set[str]:
    store = SqliteReadings(data / "readings.db", writer=False)
    try:
        return {series.place for series in store.series() if series.device == device}
    finally:
        store.close()


def test_a_sender_that_is_adopted_while_watch_runs_has_a_place_within_eight_seconds(
    pages: Pages,
) -> None:
    watch = pages.shed.watch()
    pages.say("new-one", 18.0)
    data = pages.shed.data
    wait_until(lambda: bool(strangers(data)), within=10)
    started = time.monotonic()
    pages.change(edits.adopt(device="new-one", place="shed", interval="60 s", name="By the window"))

    def arrives() -> bool:
        pages.say("new-one", 18.5)
        return places_of(data, "new-one") == {"shed"}

    wait_until(arrives, within=8)
    assert time.monotonic() - started < 8
    assert watch.poll() is None
    assert pages.times_built() == 1


def strangers(data: Path) -> list[str]:
    store = SqliteReadings(data / "readings.db", writer=False)
    try:
        return [stranger.device for stranger in store.strangers()]
    finally:
        store.close()


def test_new_settings_are_in_force_within_two_seconds(pages: Pages) -> None:
    pages.shed.watch()
    pages.change(edits.shed(name="Elm shed"))
    wait_until(lambda: pages.times_built() == 1, within=2)


def test_the_deadline_of_a_silent_sensor_is_not_moved_by_an_edit(pages: Pages) -> None:
    pages.shed.watch()
    pages.say("th-shed", 18.0)
    wait_until(lambda: pages.deadline("th-shed") is not None)
    pages.say("th-shed", 18.2)
    time.sleep(6)  # until it is stored
    before = {device: pages.deadline(device) for device in ("th-shed", "th-box")}
    pages.change(edits.shed(name="Elm shed"))
    wait_until(lambda: pages.times_built() == 1)
    pages.change(edits.cages(count=3))
    wait_until(lambda: pages.times_built() == 2)
    assert {device: pages.deadline(device) for device in before} == before
    assert before["th-box"] is not None


def test_an_alarm_is_not_raised_again_by_an_edit_and_goes_on(tmp_path: Path) -> None:
    quick = SHED.replace('interval = "60 s"', 'interval = "1 s"')
    with running_shed(tmp_path, configuration=quick) as shed:
        records = open_records("sqlite:///records.db", shed.data)
        pages = Pages(shed, records)
        shed.watch()
        wait_until(lambda: len(pages.alarms("overdue:th-box")) == 1, within=15)
        before = pages.alarms("overdue:th-box")
        for name in ("Elm shed", "Oak shed"):
            pages.change(edits.place("spare", kind=PlaceKind.FLIGHT, name=name))
        wait_until(lambda: pages.times_built() >= 1)
        time.sleep(5)
        assert pages.alarms("overdue:th-box") == before
        records.close()


def test_the_alarm_of_a_sensor_that_is_removed_ends_and_says_why(pages: Pages) -> None:
    pages.change(edits.adopt(device="brief", place="box-1", interval="1 s"))
    pages.shed.watch()
    wait_until(lambda: bool(pages.alarms("overdue:brief")), within=15)
    pages.change(edits.remove_sensor("brief"))
    wait_until(lambda: pages.alarms("overdue:brief")[0]["cleared_at"] is not None, within=8)
    (alarm,) = pages.alarms("overdue:brief")
    assert alarm["state"] == "returned to normal unacknowledged"
    assert alarm["text"].endswith("This sensor is set up no more.")


def test_damaged_settings_of_pages_are_told_and_the_file_goes_on(pages: Pages) -> None:
    pages.change(edits.adopt(device="brief", place="box-1", interval="60 s"))
    with sqlite3.connect(pages.shed.data / "records.db") as db:
        db.execute("UPDATE kept_settings SET document = 'no document'")
    db.close()
    pages.shed.watch()
    pages.say("th-shed", 18.0)
    wait_until(lambda: places_of(pages.shed.data, "th-shed") == {"shed"}, within=10)
    told = shown("health", pages.shed.data)
    assert any("can't be read" in fault for fault in told["faults"])


def test_a_change_while_watch_is_down_is_in_force_at_its_start(pages: Pages) -> None:
    pages.change(edits.adopt(device="new-one", place="shed", interval="60 s"))
    pages.shed.watch()
    pages.say("new-one", 18.0)
    wait_until(lambda: places_of(pages.shed.data, "new-one") == {"shed"}, within=10)
    assert timedelta(0) < (pages.deadline("new-one") or datetime.now(UTC)) - datetime.now(UTC)


def test_no_message_is_lost_while_settings_change(pages: Pages) -> None:
    """A device sends all the while, each value with a time of its own."""
    pages.shed.watch()
    begun = datetime.now(UTC)
    sent: list[int] = []
    stop = threading.Event()

    def send() -> None:
        while not stop.wait(0.05):
            number = len(sent)
            at = begun + timedelta(milliseconds=10 * number)
            pack = senml.pack("th-shed", {"temperature": (number / 100, "Cel")}, at)
            publish(pages.shed.broker.address, [pack], topic="clutchweather/th-shed/senml")
            sent.append(number)

    sender = threading.Thread(target=send)
    sender.start()
    for name in ("Elm shed", "Oak shed", "Ash shed"):
        built = pages.times_built()
        time.sleep(1)
        pages.change(edits.shed(name=name))
        wait_until(lambda before=built: pages.times_built() > before)  # type: ignore[misc]
    stop.set()
    sender.join()
    wait_until(lambda: values_of(pages.shed.data, "th-shed") == sent, within=15)
    assert len(sent) > 25


def values_of(data: Path, device: str) -> list[int]:
    store = SqliteReadings(data / "readings.db", writer=False)
    try:
        return [
            round(100 * reading.value)
            for series in store.series()
            if series.device == device
            for reading in store.window(
                series.id, datetime.now(UTC) - timedelta(hours=1), datetime.now(UTC)
            )
        ]
    finally:
        store.close()


def test_a_broker_that_is_down_is_told_and_left_again(tmp_path: Path) -> None:
    """The keeper mistyped: watch lives, says that it hears nobody, and follows the next word."""
    without = SHED.replace('[broker]\nurl = "mqtt://127.0.0.1:BROKER"\n', "")
    with running_shed(tmp_path, configuration=without) as shed:
        records = open_records("sqlite:///records.db", shed.data)
        pages = Pages(shed, records)
        right = f"mqtt://127.0.0.1:{shed.broker.port}"
        pages.change(edits.broker(url=right))
        watch = shed.watch()
        pages.change(edits.broker(url=f"mqtt://127.0.0.1:{free_port()}"))
        wait_until(lambda: "refused" in told_of_the_broker(shed.data))
        pages.change(edits.broker(url=right))
        wait_until(lambda: told_of_the_broker(shed.data).startswith("connected"))
        assert watch.poll() is None
        records.close()


def told_of_the_broker(data: Path) -> str:
    beat = read_heartbeat(heartbeat_file(data))
    return "" if beat is None else beat.broker


def test_no_page_hides_its_values_while_settings_change(pages: Pages) -> None:
    """The listener is away for an instant; what the heartbeat tells of it goes on."""
    watch = pages.shed.watch()
    file = heartbeat_file(pages.shed.data)
    pages.change(edits.shed(name="Elm shed"))
    told = []
    until = time.monotonic() + 5
    while time.monotonic() < until:
        told.append(read_heartbeat(file))
        time.sleep(0.1)
    assert pages.times_built() == 1
    assert all(beat is not None and beat.pid == watch.pid for beat in told)
    assert all(all(pulse(beat).well.values()) for beat in told)
    assert len({beat.started_at for beat in told if beat}) == 1
