"""From a message that nobody understands to a value: broker, watch and pages as processes."""

import json
import re
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from http.cookiejar import CookieJar
from pathlib import Path

import pytest

from service.intake.broker_address import BrokerAddress
from service.store.reading_store import Latest
from service.store.sqlite_readings import SqliteReadings
from tests.dashboards.pages.test_sensors import chosen
from tests.listening import publish, wait_until
from tests.walks.running_shed import RunningShed, running_shed

pytestmark = [pytest.mark.broker, pytest.mark.faults]

BARE = """
[broker]
url = "mqtt://127.0.0.1:BROKER"

[pages]
port = PAGES
"""
TOPIC = "gateway/a1"


def said(celsius: float) -> str:
    return json.dumps({"air": {"temp_c": celsius, "hum": 61}})


def tell(shed: RunningShed, payload: str) -> None:
    publish(BrokerAddress(port=shed.broker.port), [payload], topic=TOPIC)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path, configuration=BARE) as shed:
        yield shed


class Visitor:
    """A browser on this machine, before there is a keeper."""

    def __init__(self, shed: RunningShed) -> None:
        self._address = f"http://127.0.0.1:{shed.pages_port}"
        self._browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def look(self, path: str) -> str:
        with self._browser.open(self._address + path, timeout=20) as answer:
            return str(answer.read().decode())

    def send(self, path: str, form: dict[str, str]) -> str:
        """Where the page that comes after it is."""
        if "csrf" not in form:
            token = re.search(r'name="csrf" value="([^"]+)"', self.look("/sensors"))
            assert token is not None
            form = {**form, "csrf": token[1]}
        body = urllib.parse.urlencode(form).encode()
        asked = urllib.request.Request(
            self._address + path, body, headers={"Origin": self._address}
        )
        with self._browser.open(asked, timeout=20) as answer:
            return str(answer.url)

    def answers(self) -> bool:
        try:
            return bool(self.look("/start"))
        except urllib.error.HTTPError:
            return True
        except OSError:
            return False


def newest(shed: RunningShed) -> list[Latest]:
    store = SqliteReadings(shed.data / "readings.db", writer=False)
    try:
        return list(store.latest())
    finally:
        store.close()


def left(shed: RunningShed) -> tuple[int, int]:
    """How many topics nobody described, and how many letters nobody could read."""
    store = SqliteReadings(shed.data / "readings.db", writer=False)
    try:
        return len(store.overheard()), len(store.dead_letters())
    finally:
        store.close()


def test_a_gateway_that_nobody_described_is_a_sensor_in_place(shed: RunningShed) -> None:
    shed.watch()
    shed.command("pages")
    visitor = Visitor(shed)
    wait_until(visitor.answers, within=30)
    visitor.send("/sensors/listen", {})
    wait_until(lambda: "is listened to for" in visitor.look("/sensors"), within=10)
    tell(shed, said(16.4))
    wait_until(lambda: left(shed)[0] == 1, within=10)

    form = chosen(visitor.look(f"/sensors/describe?topic={TOPIC}"))
    after = visitor.send("/sensors/describe", {**form, "act": "save"})
    assert "/sensors/one?device=a1" in after
    # From now on its feed is listened to, without a restart of anything.
    wait_until(lambda: _heard(shed, said(17.5), 17.5), within=20)
    assert {one.series.place for one in newest(shed)} == {"shed"}
    assert "17.5°" in visitor.look("/sensors/one?device=a1")


def _heard(shed: RunningShed, payload: str, celsius: float) -> bool:
    tell(shed, payload)
    time.sleep(0.5)
    return any(one.value == celsius for one in newest(shed))


def test_letters_of_a_feed_that_was_wrong_are_read_by_the_new_one(shed: RunningShed) -> None:
    shed.watch()
    shed.command("pages")
    visitor = Visitor(shed)
    wait_until(visitor.answers, within=30)
    visitor.send("/sensors/listen", {})
    wait_until(lambda: "is listened to for" in visitor.look("/sensors"), within=10)
    tell(shed, said(16.4))
    wait_until(lambda: left(shed)[0] == 1, within=10)
    form = chosen(visitor.look(f"/sensors/describe?topic={TOPIC}"))
    visitor.send("/sensors/describe", {**form, "act": "save"})
    wait_until(lambda: _heard(shed, said(17.5), 17.5), within=20)

    other = json.dumps({"inner": {"temp_c": 12.5}})  # the gateway was updated
    tell(shed, other)
    wait_until(lambda: left(shed)[1] == 1, within=10)
    page = visitor.look("/sensors/letters")
    mark = re.findall(r'href="/sensors/letters/([0-9a-f]+)"', page)[0]
    form = chosen(visitor.look(f"/sensors/describe?letter={mark}"))
    visitor.send("/sensors/describe", {**form, "act": "save"})
    wait_until(lambda: left(shed)[1] == 0, within=20)
    assert 12.5 in {one.value for one in newest(shed)}
