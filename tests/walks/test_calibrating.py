"""A calibration and a salt trial made on pages: broker, watch and pages as processes."""

import json
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest

from devices.reading import Quantity
from service.store.reading_store import Latest
from tests.listening import publish, wait_until
from tests.walks.running_shed import RunningShed, running_shed
from tests.walks.test_adopting import Visitor, newest

pytestmark = [pytest.mark.broker, pytest.mark.faults]

RH = Quantity.RELATIVE_HUMIDITY
PAGE = "/sensors/calibration?" + urlencode({"device": "th-shed"})


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path) as shed:
        shed.watch()
        shed.command("pages")
        yield shed


@pytest.fixture
def visitor(shed: RunningShed) -> Visitor:
    visitor = Visitor(shed)
    wait_until(visitor.answers, within=20)
    return visitor


def tell(shed: RunningShed, humidity: float) -> None:
    pack = json.dumps([{"n": "th-shed:relative_humidity", "u": "%RH", "v": humidity}])
    publish(shed.broker.address, [pack], topic="clutchweather/th-shed/senml")


def told(shed: RunningShed, holds: Callable[[Latest], bool]) -> Callable[[], bool]:
    return lambda: any(one.series.quantity is RH and holds(one) for one in newest(shed))


def test_a_correction_made_on_a_page_is_in_force_within_two_seconds(
    shed: RunningShed, visitor: Visitor
) -> None:
    tell(shed, 61.0)
    wait_until(told(shed, lambda one: one.value == 61.0), within=10)
    page = visitor.look(PAGE)
    at = re.search(r'name="read_at" value="([^"]+)"', page)
    assert at is not None
    form = {"device": "th-shed", "quantity": RH.value, "read_at": at[1], "reference": "58,5"}
    visitor.send("/sensors/calibration/offset", form)
    time.sleep(2.0)
    tell(shed, 62.0)
    wait_until(told(shed, lambda one: one.value == 59.5), within=10)
    assert "shown everywhere as 59.5 %" in visitor.look(PAGE)


def test_a_sensor_put_into_the_jar_on_a_page_is_away_within_two_seconds(
    shed: RunningShed, visitor: Visitor
) -> None:
    tell(shed, 61.0)
    wait_until(told(shed, lambda one: one.value == 61.0), within=10)
    visitor.send("/sensors/calibration/salt", {"device": "th-shed", "salt": "sodium chloride"})
    time.sleep(2.0)
    tell(shed, 75.0)
    wait_until(told(shed, lambda one: one.value == 75.0), within=10)
    assert {(one.series.place, one.value) for one in newest(shed)} == {
        ("shed", 61.0),
        ("salt jar", 75.0),
    }
    assert "In the jar, above sodium chloride" in visitor.look(PAGE)
    visitor.send("/sensors/calibration/give-up", {"device": "th-shed"})
    time.sleep(2.0)
    tell(shed, 62.0)
    wait_until(told(shed, lambda one: one.series.place == "shed" and one.value == 62.0), within=10)


def test_the_wall_is_all_well_no_more_once_the_sheds_sensor_is_in_the_jar(
    shed: RunningShed, visitor: Visitor
) -> None:
    for device in ("th-shed", "th-box"):
        tell_warmth(shed, device)
    tell(shed, 61.0)
    wait_until(lambda: "All well" in visitor.look("/wall"), within=15)
    visitor.send("/sensors/calibration/salt", {"device": "th-shed", "salt": "sodium chloride"})
    wait_until(lambda: "in the jar" in visitor.look("/wall"), within=4)
    tell_warmth(shed, "th-shed")
    wait_until(lambda: len([one for one in newest(shed) if one.series.place == "salt jar"]) == 1)
    wall = visitor.look("/wall")
    assert "Cannot tell" in wall
    assert "All well" not in wall


def tell_warmth(shed: RunningShed, device: str) -> None:
    pack = json.dumps([{"n": f"{device}:temperature", "u": "Cel", "v": 18.0}])
    publish(shed.broker.address, [pack], topic=f"clutchweather/{device}/senml")
