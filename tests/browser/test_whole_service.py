"""A published value, an alarm, a dead watch: from a real broker to a real browser."""

import json
import subprocess
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.listening import publish, wait_until
from tests.needs import need
from tests.walks.running_shed import SHED, RunningShed, running_shed

pytestmark = [pytest.mark.browser, pytest.mark.broker]

TOPIC = "clutchweather/th-shed/senml"
QUICK = (
    SHED.replace('when = "night"', 'when = "always"')
    .replace('on_delay = "10 min"', 'on_delay = "1 s"')
    .replace('off_delay = "15 min"', 'off_delay = "1 s"')
    .replace('[[sensor]]\ndevice = "th-box"\nplace = "box-1"\ninterval = "60 s"\n', "")
)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path, configuration=QUICK) as shed:
        shed.command("pages")
        shed.watch()
        wait_until(lambda: answers(shed), within=15)
        yield shed


def answers(shed: RunningShed) -> bool:
    try:
        with urllib.request.urlopen(f"{address(shed)}/health", timeout=2) as answer:
            return bool(answer.status == 200)
    except OSError:
        return False


def address(shed: RunningShed) -> str:
    return f"http://127.0.0.1:{shed.pages_port}"


def say(shed: RunningShed, celsius: float) -> None:
    measured = [{"n": "th-shed:temperature", "u": "Cel", "v": celsius}]
    publish(shed.broker.address, [json.dumps(measured)], topic=TOPIC)


@pytest.fixture
def wall(browser: Browser, shed: RunningShed) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto(f"{address(shed)}/wall")
    yield page
    context.close()


def wait_for_verdict(wall: Page, claim: str) -> None:
    """Until the first words of the wall are as claimed, in JavaScript."""
    wall.wait_for_function(
        f"() => document.querySelector('#wall text').textContent {claim}", timeout=20000
    )


def test_a_value_published_by_hand_is_on_the_wall_within_eight_seconds(
    shed: RunningShed, wall: Page
) -> None:
    program = need("mosquitto_pub", "browser")
    payload = '[{"bn":"th-shed:","n":"temperature","u":"Cel","v":18.4}]'
    arguments = ["-p", str(shed.broker.port), "-q", "1", "-t", TOPIC, "-m", payload]
    subprocess.run([program, *arguments], check=True)
    wall.wait_for_function(
        "() => document.querySelector('#wall').textContent.includes('18°')",
        timeout=8000,
    )


def test_cold_is_an_alarm_on_the_wall_that_a_page_acknowledges(
    shed: RunningShed, wall: Page, browser: Browser
) -> None:
    say(shed, 3.2)
    wait_for_verdict(wall, "=== 'Too cold'")
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(f"{address(shed)}/alarms")
    page.get_by_role("button", name="I have seen it").click()

    def acknowledged() -> bool:
        with urllib.request.urlopen(f"{address(shed)}/api/alarms", timeout=2) as answer:
            return any(item["state"] == "acknowledged" for item in json.load(answer))

    wait_until(acknowledged, within=8)
    wait_for_verdict(wall, "=== 'Too cold'")
    page.close()


def test_a_killed_watch_makes_the_wall_not_live_until_another_listens(
    shed: RunningShed, wall: Page
) -> None:
    say(shed, 12.0)
    shed.stop_watch()
    wait_for_verdict(wall, "=== 'NOT LIVE'")
    shed.watch()
    say(shed, 12.0)
    wait_for_verdict(wall, "!== 'NOT LIVE'")
