"""The first day, whole: from an empty data folder to a live value on a tablet's wall.

``clutchweather up`` with nothing set, on a machine of its own (a network namespace where one
can be had, so that what is let in beyond loopback stays among this test's programs), a real
broker that ``up`` finds or makes by itself, a phone and a tablet in a real browser, and one
sender of a message that nobody has described.
"""

import json
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import pytest
from playwright.sync_api import Browser, Error, Locator, Page, Playwright

from service.machine.own_addresses import own_addresses
from tests.browser.conftest import ARGUMENTS
from tests.needs import need
from tests.own_network import OwnNetwork, own_network

pytestmark = [pytest.mark.browser, pytest.mark.broker]

HERE = "http://127.0.0.1:8460"
NAME, PASSWORD = "Robin", "nine cages and a kettle"
TOPIC = "hut/porch/state"
MESSAGE = json.dumps({"climate": {"temp_c": 16.4, "hum": 61}, "cell": 87})
MOST_TAPS = 4
CODE = re.compile(r"\b[a-z2-9]{4}(?:-[a-z2-9]{4}){3}\b")

T = TypeVar("T")


@dataclass(kw_only=True)
class FirstDay:
    """A machine with nothing set, its console, and the browsers of the house."""

    network: OwnNetwork
    log: Path
    browser: Browser

    def code(self) -> str:
        """The one-time code, as the console shows it."""
        found = within(30, lambda: CODE.search(self.log.read_text(errors="replace")))
        assert found is not None
        return found[0]

    def say(self, payload: str) -> None:
        """One message of the sender that nobody knows; lost where the broker starts anew."""
        command = [*self.network.prefix, "mosquitto_pub", "-h", "127.0.0.1", "-q", "1"]
        subprocess.run([*command, "-t", TOPIC, "-m", payload], check=False, timeout=10)


def within(seconds: float, look: Callable[[], T]) -> T:
    """The first true answer of ``look``."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if found := look():
            return found
        time.sleep(0.1)
    raise AssertionError(f"not within {seconds} s")


@pytest.fixture
def day(tmp_path: Path, playwright: Playwright) -> Iterator[FirstDay]:
    chromium = need("chromium", "browser")
    need("mosquitto_pub", "broker")
    with own_network() as own:
        network = own or OwnNetwork(prefix=(), address=own_addresses()[0])
        log = tmp_path / "console.log"
        command = [sys.executable, "-m", "service", "up", "--data", str(tmp_path / "data")]
        with log.open("wb") as console:
            service = subprocess.Popen(
                [*network.prefix, *command], stdout=console, stderr=subprocess.STDOUT
            )
        try:
            program = network.program(str(chromium), tmp_path)
            browser = playwright.chromium.launch(executable_path=program, args=ARGUMENTS)
            yield FirstDay(network=network, log=log, browser=browser)
            browser.close()
        finally:
            service.terminate()
            service.wait(20)


def answered(page: Page, address: str) -> None:
    """Open an address of a server that may not be there yet."""

    def look() -> bool:
        try:
            page.goto(address)
        except Error:  # nobody answers there yet
            return False
        return True

    within(30, look)


def press(page: Page, words: str) -> None:
    page.get_by_role("button", name=words).or_(page.get_by_role("link", name=words)).first.tap()


def test_an_empty_folder_comes_to_a_live_value_on_a_tablets_wall(day: FirstDay) -> None:
    phone = day.browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = phone.new_page()
    answered(page, HERE)
    page.wait_for_url("**/first/keeper")
    _become_the_keeper(page, day.code())
    _set_the_shed_up(page)
    _let_phones_in(page)
    _adopt(day, page)
    address = _token(page, day.network.address)
    tablet = day.browser.new_context(viewport={"width": 1280, "height": 800})
    wall = tablet.new_page()
    wall.goto(address)
    wall.wait_for_selector("#wall")
    assert "token" not in wall.url
    assert wall.url.startswith(f"http://{day.network.address}:8460/wall")
    day.say(MESSAGE.replace("16.4", "17.4"))
    within(10, lambda: "17°" in wall.content())
    wall.goto(f"http://{day.network.address}:8460/setup")
    assert "/login" in wall.url
    stranger = day.browser.new_context().new_page()
    stranger.goto(f"http://{day.network.address}:8460/sensors")
    assert "/login" in stranger.url


def _become_the_keeper(page: Page, code: str) -> None:
    page.fill("input[name=code]", code)
    page.fill("input[name=name]", NAME)
    page.fill("input[name=password]", PASSWORD)
    page.fill("input[name=password_again]", PASSWORD)
    press(page, "Be the keeper")
    page.wait_for_url("**/first/shed")


def _set_the_shed_up(page: Page) -> None:
    page.fill("input[name=name]", "Hazel shed")
    page.fill("input[name=zone]", "Europe/Amsterdam")
    press(page, "Next")
    if page.url.endswith("/first/shed"):  # the sun is shown before it is kept
        press(page, "Next")
    page.wait_for_url("**/first/lamps")
    page.locator("label.choice", has_text="No lamps").tap()
    press(page, "Next")
    page.wait_for_url("**/first/cages")
    page.fill("input[name=count]", "9")
    page.fill("input[name=each]", "1")
    press(page, "Show the walk")
    page.get_by_text("Cage 9").wait_for()
    press(page, "Next")
    page.wait_for_url("**/first/phones")


def _let_phones_in(page: Page) -> None:
    press(page, "Let them in")
    page.get_by_text("Phones and tablets may come in").wait_for()
    press(page, "Next")
    page.wait_for_url("**/first/sensor")


def _adopt(day: FirstDay, page: Page) -> None:
    """Publish until it is heard, as a sensor does; then count the taps to a named, live value."""
    heard = page.get_by_role("link", name=TOPIC)

    def is_heard() -> bool:
        day.say(MESSAGE)
        return heard.count() > 0

    within(30, is_heard)
    taps = 0

    def tap(target: Locator) -> None:
        nonlocal taps
        taps += 1
        target.tap()

    tap(heard.first)
    page.wait_for_url("**/sensors/describe**")
    tap(page.locator("label.choice", has_text="Hazel shed").first)
    tap(page.get_by_role("button", name="Save"))
    page.wait_for_url("**/sensors/one?*")

    def is_live() -> bool:
        day.say(MESSAGE)
        return "16.4°" in page.locator("body").inner_text()

    within(20, is_live)
    assert taps <= MOST_TAPS


def _token(page: Page, beyond: str) -> str:
    page.goto(f"{HERE}/people/walls")
    page.fill("input[name=name]", "tablet by the door")
    press(page, "Make a token")
    made = page.locator("section.saved code")
    made.first.wait_for()
    told = made.all_inner_texts()
    return next(address for address in told if f"//{beyond}:" in address)
