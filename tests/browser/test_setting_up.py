"""The first day on a phone, in a real browser: tapped through, and heard within seconds."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, ConsoleMessage, Page

from dashboards.app import create_app
from service.settings import edits
from tests.browser.pages_process import free_port, wait_for
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

pytestmark = pytest.mark.browser

SENML = '[{"bn":"new-1:","n":"temperature","u":"Cel","v":21.5}]'
FIRST = ["shed", "lamps", "cages", "phones", "sensor"]
SET_UP = ["", "/shed", "/lamps", "/places", "/places/box-1", "/broker", "/phones"]


@dataclass(kw_only=True)
class Served:
    """The pages of a shed on its first day."""

    shed: KeptShed
    address: str


@contextmanager
def serving(shed: KeptShed) -> Iterator[Served]:
    port = free_port()
    app = create_app(shed.services())
    server = uvicorn.Server(
        uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning", lifespan="off")
    )
    app.state.streams.stopping = lambda: server.should_exit
    thread = threading.Thread(target=server.run)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.05)
    try:
        yield Served(shed=shed, address=f"http://127.0.0.1:{port}")
    finally:
        server.should_exit = True
        thread.join(timeout=20)


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Served]:
    shed = open_kept_shed(tmp_path)
    with serving(shed) as served:
        yield served
    shed.close()


def complaints(page: Page) -> list[str]:
    """What the browser complains of from now on; a policy that is broken is told there."""
    told: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            told.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: told.append(str(error)))
    return told


def press(page: Page, words: str) -> None:
    page.get_by_role("button", name=words).or_(page.get_by_role("link", name=words)).first.click()


def go_through(page: Page, served: Served) -> None:
    """Shed, lamps, cages, phones: as a keeper taps, up to the page that waits."""
    page.goto(f"{served.address}/first/shed")
    page.fill("[name=name]", "Hazel shed")
    page.fill("[name=zone]", "Europe/Amsterdam")
    press(page, "Next")
    assert "Sunrise" in page.inner_text("#sun")
    assert "reckoned for Amsterdam" in page.inner_text("#sun")
    press(page, "Next")
    page.wait_for_url("**/first/lamps")
    page.get_by_text("Lamps", exact=True).last.click()
    assert "14 h of light" in page.inner_text(".sun")
    press(page, "Next")
    page.wait_for_url("**/first/cages")
    page.fill("[name=count]", "9")
    press(page, "Show the walk")
    assert page.locator(".walking li").count() == 9
    press(page, "Next")
    page.wait_for_url("**/first/phones")
    press(page, "Skip this")
    page.wait_for_url("**/first/sensor")


def test_a_keeper_taps_through_on_a_phone(phone: Page, bare: Served) -> None:
    told = complaints(phone)
    go_through(phone, bare)
    settings = bare.shed.settings()
    assert settings.shed_name == "Hazel shed"
    assert settings.light.schedule is not None
    assert len(bare.shed.stores.records.nest_book.nests()) == 9
    assert told == []


def test_it_can_be_done_without_script(browser: Browser, bare: Served) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    go_through(page, bare)
    bare.shed.hear("clutchweather/new-1/senml", SENML)
    page.wait_for_selector("text=Give it a place", timeout=9_000)  # the page asks every 5 s
    context.close()
    assert len(bare.shed.stores.records.nest_book.nests()) == 9


def test_a_sender_and_then_its_value_appear_by_themselves(phone: Page, bare: Served) -> None:
    told = complaints(phone)
    phone.goto(f"{bare.address}/first/sensor")
    phone.evaluate("window.stillTheSame = true")
    bare.shed.hear("clutchweather/new-1/senml", SENML)
    wait_for(phone, "document.body.innerText.includes('new-1')", 8.0)
    adopted = edits.adopt(device="new-1", place="shed", interval="60 s")
    bare.shed.services().editor.change(adopted, by=None, at=NOW)
    bare.shed.hear("clutchweather/new-1/senml", SENML, seconds_ago=2)
    wait_for(phone, "document.querySelector('.now-value') !== null", 8.0)
    assert "21.5" in phone.inner_text(".now-value")
    assert "2 s old" in phone.inner_text("#heard")
    assert phone.evaluate("window.stillTheSame")
    assert told == []


def test_a_value_is_struck_out_once_the_page_hears_nothing(phone: Page, bare: Served) -> None:
    adopted = edits.adopt(device="new-1", place="shed", interval="60 s")
    bare.shed.services().editor.change(adopted, by=None, at=NOW)
    bare.shed.hear("clutchweather/new-1/senml", SENML)
    phone.clock.install()
    phone.route("**/live", lambda route: route.abort())
    phone.goto(f"{bare.address}/first/sensor")
    assert not phone.locator("#banner").is_visible()
    phone.clock.fast_forward(17_000)
    assert phone.locator("#banner").is_visible()
    drawn = "getComputedStyle(document.querySelector('.now-value')).textDecorationLine"
    assert phone.evaluate(drawn) == "line-through"


@pytest.mark.parametrize("scheme", ["day", "night"])
def test_buttons_are_for_thumbs_and_letters_for_the_shed(
    phone: Page, bare: Served, scheme: str
) -> None:
    # At least 68 px for a button and 18 px for a letter, and nothing wider than the phone.
    bare.shed.services().editor.change(edits.cages(count=2), by=None, at=NOW)
    for path in [*(f"/first/{step}" for step in FIRST), *(f"/setup{page}" for page in SET_UP)]:
        phone.goto(f"{bare.address}{path}")
        phone.evaluate(f"document.documentElement.className = '{scheme}'")
        assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        heights = phone.evaluate(
            "[...document.querySelectorAll('.b')].map(b => b.getBoundingClientRect().height)"
        )
        assert all(height >= 68 for height in heights), path
        letters = phone.evaluate(
            "[...document.querySelectorAll('main *')].filter(e => e.innerText)"
            ".map(e => parseFloat(getComputedStyle(e).fontSize))"
        )
        assert min(letters) >= 18, path
