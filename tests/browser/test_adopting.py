"""A new sensor gets its place on a phone, in a real browser, and the taps are counted."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Dialog, Locator, Page

from service.settings import edits
from service.store.reading_store import Batch, DeadLetter, Overheard, Stranger
from tests.browser.pages_process import wait_for
from tests.browser.test_setting_up import Served, complaints, serving
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import open_kept_shed

pytestmark = pytest.mark.browser

EVIL = "<img src=x onerror=alert(1)>"
SENML = json.dumps(
    [
        {"bn": "th-9:", "n": "temperature", "u": "Cel", "v": 16.4},
        {"n": "relative_humidity", "u": "%RH", "v": 61},
    ]
)
TOPIC = "clutchweather/th-9/senml"
GATEWAY = json.dumps(
    {"air": {"temp_c": 16.4, "hum": 61}, "batt": {"percent": 87}, "n": "7f", "up_s": 90210}
)
MOST_TAPS = 4
LOWEST_BUTTON_PX = 68
SMALLEST_TEXT_PX = 18


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A shed with nine cages, and nothing that measures in them."""
    shed = open_kept_shed(tmp_path)
    editor = shed.services().editor
    editor.change(edits.shed(name="Hazel shed", timezone="Europe/Amsterdam"), by=None, at=NOW)
    editor.change(edits.cages(count=9, boxes_each=1), by=None, at=NOW)
    with serving(shed) as running:
        yield running
    shed.close()


class Thumb:
    """Taps, and counts them."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self.taps = 0

    def tap(self, target: Locator) -> None:
        self.taps += 1
        target.tap()

    def on(self, words: str) -> None:
        button = self._page.get_by_role("button", name=words)
        self.tap(button.or_(self._page.get_by_role("link", name=words)).first)

    def on_place(self, name: str) -> None:
        self.tap(self._page.locator("label.choice", has_text=name).first)


def says(page: Page, words: str, within_s: float = 10.0) -> None:
    wait_for(page, f"document.body.innerText.includes({json.dumps(words)})", within_s)


def test_a_sender_that_is_understood_is_placed_in_three_taps(phone: Page, served: Served) -> None:
    served.shed.hear(TOPIC, SENML)
    phone.goto(f"{served.address}/sensors")
    thumb = Thumb(phone)
    thumb.on("Give it a place")
    thumb.on_place("Box 4")
    thumb.on("Save")
    phone.wait_for_url("**/sensors/one?*")
    says(phone, "Waiting")
    served.shed.hear(TOPIC, SENML, seconds_ago=3)
    says(phone, "16.4°")
    says(phone, "temperature, 3 s old")
    assert served.shed.settings().sensors[0].place == "box-4"
    assert thumb.taps <= MOST_TAPS


def test_a_sender_of_another_makers_json_is_placed_in_four_taps(
    phone: Page, served: Served
) -> None:
    served.shed.hear("gateway/a1", GATEWAY)
    phone.goto(f"{served.address}/sensors")
    thumb = Thumb(phone)
    thumb.on("Show what it says")
    phone.wait_for_url("**/sensors/describe**")
    says(phone, "Would read from a1")
    says(phone, "temperature 16.4°")
    thumb.on_place("Box 4")
    thumb.on("Save")
    phone.wait_for_url("**/sensors/one?*")
    served.shed.hear("gateway/a1", GATEWAY, seconds_ago=2)
    says(phone, "temperature, 2 s old")
    assert thumb.taps <= MOST_TAPS


def test_what_would_be_read_follows_each_choice_and_is_what_is_read(
    phone: Page, served: Served
) -> None:
    served.shed.hear("gateway/a1", json.dumps({"v1": 61.5, "v2": 44}))
    phone.goto(f"{served.address}/sensors/describe?topic=gateway/a1")
    says(phone, "Would read:\n\nnothing.")
    phone.get_by_label("v1, 61.5, is").select_option("temperature in °F")
    says(phone, "temperature 16.4°")
    thumb = Thumb(phone)
    thumb.on_place("Hazel shed")
    thumb.on("Save")
    phone.wait_for_url("**/sensors/one?*")
    served.shed.hear("gateway/a1", json.dumps({"v1": 61.5, "v2": 44}), seconds_ago=1)
    says(phone, "16.4°")


def test_all_of_it_works_without_script(browser: Browser, served: Served) -> None:
    served.shed.hear("gateway/a1", json.dumps({"v1": 61.5}))
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{served.address}/sensors")
    page.get_by_role("link", name="Show what it says").click()
    page.get_by_label("v1, 61.5, is").select_option("temperature in °F")
    page.get_by_role("button", name="Show what would be read").click()
    assert "temperature 16.4°" in page.locator("#would").inner_text()
    page.locator("label.choice", has_text="A new place").first.click()
    page.get_by_label("What the new place is called").fill("Loft")
    page.get_by_role("button", name="Save").click()
    assert "/sensors/one?device=a1" in page.url
    context.close()
    (sensor,) = served.shed.settings().sensors
    names = {place.id: place.name for place in served.shed.settings().places}
    assert names[sensor.place] == "Loft"


def test_a_new_sender_comes_up_on_the_open_page_by_itself(phone: Page, served: Served) -> None:
    phone.goto(f"{served.address}/sensors")
    says(phone, "No sensor is set up.")
    served.shed.hear(TOPIC, SENML)
    says(phone, "relative humidity 61%, temperature 16.4°", within_s=8.0)


def test_a_place_that_was_forgotten_is_asked_for_and_what_was_typed_stays(
    phone: Page, served: Served
) -> None:
    served.shed.hear(TOPIC, SENML)
    served.shed.services().editor.change(
        edits.adopt(device="th-1", place="shed", interval="60 s"), by=None, at=NOW
    )
    phone.goto(f"{served.address}/sensors/adopt?device=th-9")
    phone.get_by_label("Name").fill("By the door")
    phone.get_by_role("button", name="Save").tap()
    # The browser itself asks for the place; a page without that asks in words.
    assert "/sensors/adopt" in phone.url
    assert [one.device for one in served.shed.settings().sensors] == ["th-1"]
    phone.evaluate("document.querySelectorAll('[required]').forEach(e => e.required = false)")
    phone.get_by_role("button", name="Save").tap()
    says(phone, "tap one of the places")
    assert phone.get_by_label("Name").input_value() == "By the door"


def test_what_comes_from_afar_is_never_run(phone: Page, served: Served) -> None:
    store = served.shed.stores.readings
    payload = json.dumps({EVIL: EVIL, "t": 3}).encode()
    store.commit(
        Batch(
            strangers=(
                Stranger(device=EVIL, measure=EVIL, topic=EVIL, value=1.0, unit=EVIL, at=NOW),
            ),
            overheard=(Overheard(topic=EVIL, payload=payload, reason=EVIL, at=NOW),),
            dead_letters=(DeadLetter(topic=EVIL, payload=payload, reason=EVIL, at=NOW),),
        )
    )
    told = complaints(phone)

    def ran(dialog: Dialog) -> None:
        told.append(dialog.message)
        dialog.dismiss()

    phone.on("dialog", ran)
    phone.goto(f"{served.address}/sensors")
    for address in (
        "/sensors",
        phone.get_by_role("link", name="Give it a place").get_attribute("href"),
        phone.get_by_role("link", name="Show what it says").get_attribute("href"),
        "/sensors/letters",
    ):
        phone.goto(f"{served.address}{address}")
        says(phone, EVIL)
        assert phone.locator("img").count() == 0
    assert told == []


def pages_of(served: Served) -> list[str]:
    served.shed.services().editor.change(
        edits.adopt(device="th-1", place="shed", interval="60 s", name="By the door"),
        by=None,
        at=NOW,
    )
    served.shed.hear("clutchweather/th-1/senml", SENML.replace("th-9", "th-1"), seconds_ago=2)
    served.shed.hear(TOPIC, SENML)
    served.shed.hear("gateway/with/a/long/name/of/a/topic/a1", GATEWAY)
    return [
        "/sensors",
        "/sensors/adopt?device=th-9",
        "/sensors/describe?topic=gateway/with/a/long/name/of/a/topic/a1",
        "/sensors/one?device=th-1",
        "/sensors/replace?old=th-1",
        "/sensors/letters",
        "/sensors/new",
    ]


_SMALL_BUTTONS = """[...document.querySelectorAll('.b, label.choice')]
    .filter(e => e.offsetParent && e.getBoundingClientRect().height < %d)
    .map(e => e.innerText)"""
_SMALL_TEXT = """[...document.querySelectorAll('main *')]
    .filter(e => e.offsetParent && e.childNodes.length && e.innerText
        && parseFloat(getComputedStyle(e).fontSize) < %d)
    .map(e => e.innerText.slice(0, 40))"""


def test_every_page_fits_a_phone_and_a_thumb(phone: Page, served: Served) -> None:
    told = complaints(phone)
    for address in pages_of(served):
        phone.goto(f"{served.address}{address}")
        assert phone.evaluate("document.documentElement.scrollWidth") <= 390, address
        assert phone.evaluate(_SMALL_BUTTONS % LOWEST_BUTTON_PX) == [], address
        assert phone.evaluate(_SMALL_TEXT % SMALLEST_TEXT_PX) == [], address
    assert told == []
