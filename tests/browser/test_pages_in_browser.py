"""What only a browser can tell: a reading arrives, a look is kept over a lost signal, and
nothing that came from afar is run."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Dialog, Page, Route

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import NestCheck
from service.settings.load import load_settings
from service.store.reading_store import Batch, DeadLetter, Stranger
from service.wiring import open_stores
from tests.browser.pages_process import PagesProcess, running_pages, wait_for

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def unchanged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PagesProcess]:
    """For all that only looks."""
    with running_pages(tmp_path_factory.mktemp("unchanged")) as running:
        yield running


def looks(pages: PagesProcess) -> int:
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    found = len(stores.records.nest_book.nest("box-1").checks)
    stores.close()
    return found


def test_a_new_reading_is_on_the_wall_within_eight_seconds(wall: Page, pages: PagesProcess) -> None:
    pages.measure(18.6)
    wait_for(wall, "document.getElementById('wall').textContent.includes('19° now')", 8.0)


def test_the_wall_loads_without_a_fault_and_within_its_weight(
    browser: Browser, unchanged: PagesProcess
) -> None:
    page = browser.new_page()
    faults: list[str] = []
    weights: list[int] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            faults.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on(
        "response",
        lambda answer: weights.append(int(answer.headers.get("content-length", "0"))),
    )
    page.goto(f"{unchanged.address}/wall")
    page.wait_for_timeout(1500)
    loaded = page.evaluate("document.fonts.check('700 20px \"Atkinson Hyperlegible\"')")
    page.close()
    assert faults == []
    assert loaded
    assert sum(weights) <= 150_000


def test_words_are_as_wide_in_the_browser_as_they_were_measured(
    browser: Browser, unchanged: PagesProcess
) -> None:
    # Kerning may draw letters a little nearer than the advances tell; never wider.
    from dashboards.marks.text_width import text_width

    wall = browser.new_page(viewport={"width": 1280, "height": 800})
    wall.goto(f"{unchanged.address}/wall")
    wall.evaluate("document.fonts.ready")
    drawn = wall.evaluate("document.querySelector('#wall text').getComputedTextLength()")
    wall.close()
    measured = text_width("All well", 154, bold=True)
    assert measured * 0.97 <= drawn <= measured + 1


def test_a_look_is_saved_from_the_phone_and_its_page_says_so(
    phone: Page, pages: PagesProcess
) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    phone.get_by_text("sitting", exact=True).click()
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    assert "egg 1 found" in (phone.locator("section.saved").text_content() or "")
    assert looks(pages) == 1


def test_a_look_typed_without_a_signal_is_sent_once_when_it_is_back(
    phone: Page, pages: PagesProcess
) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    phone.context.set_offline(True)
    phone.locator("#save").click()
    phone.get_by_text("Not saved yet, kept here: the shed is not heard").wait_for()
    assert looks(pages) == 0
    phone.context.set_offline(False)
    phone.wait_for_url("**/nests/box-1?saved=*", timeout=15_000)
    phone.wait_for_timeout(5000)
    assert looks(pages) == 1


def test_a_look_whose_answer_was_lost_is_one_look(phone: Page, pages: PagesProcess) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    lost: list[int] = []

    def lose_the_answer(route: Route) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch(max_redirects=0).status)
            route.abort()
        else:
            route.continue_()

    phone.route("**/nests/box-1/check", lose_the_answer)
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*", timeout=20_000)
    assert lost == [303]
    assert looks(pages) == 1


def test_a_draft_outlives_a_page_that_was_closed(phone: Page, pages: PagesProcess) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    number = phone.locator("[name=form_id]").input_value()
    phone.goto(f"{pages.address}/nests")
    phone.goto(f"{pages.address}/nests/box-1/check")
    assert phone.locator("#eggs").input_value() == "1"
    assert phone.locator("[name=form_id]").input_value() == number
    assert "not saved yet" in (phone.locator("#draft").text_content() or "")
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    phone.goto(f"{pages.address}/nests/box-1/check")
    assert phone.locator("[name=form_id]").input_value() != number


def test_a_question_comes_back_and_its_answer_is_saved(phone: Page, pages: PagesProcess) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='-1']").click()
    phone.locator("#save").click()
    phone.get_by_text("Not saved yet: one thing first").wait_for()
    phone.locator(".ask select").select_option("broken")
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    assert "egg 1 broken" in (phone.locator("section.saved").text_content() or "")
    assert looks(pages) == 2


def test_the_form_works_without_scripts(browser: Browser, pages: PagesProcess) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{pages.address}/nests/box-1/check")
    page.locator("#eggs").fill("1")
    page.locator("#save").click()
    page.wait_for_url("**/nests/box-1?saved=*")
    context.close()
    assert looks(pages) == 1


PHONE_PAGES = [
    "/",
    "/nests",
    "/nests/box-1",
    "/nests/box-1/check",
    "/air",
    "/alarms",
    "/sensors",
    "/setup",
]


@pytest.mark.parametrize("path", PHONE_PAGES)
def test_no_page_is_wider_than_a_phone(phone: Page, unchanged: PagesProcess, path: str) -> None:
    phone.goto(unchanged.address + path)
    for opened in phone.locator("summary").all():
        opened.click()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def look(pages: PagesProcess, days_ago: float, eggs: int, chicks: int) -> None:
    """A nest check of box 1 in the past, by the walk that the pages use."""
    at = datetime.now(UTC) - timedelta(days=days_ago)
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    hatched = tuple(range(1, chicks + 1))
    check = NestCheck(
        form_id=uuid4(), box="box-1", at=at, eggs=eggs, chicks=chicks, hatched=hatched
    )
    answer = NestCheckPath(stores.records.nest_book, FixedClock(at)).record(check)
    stores.close()
    assert isinstance(answer, Recorded)


def test_the_open_form_of_a_nest_with_chicks_is_no_wider_than_a_phone(
    phone: Page, pages: PagesProcess
) -> None:
    look(pages, 23, 0, 0)
    look(pages, 21, 1, 0)
    look(pages, 1, 0, 1)
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator(".different > summary").click()
    phone.get_by_label("ring of chick 1").wait_for()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_targets_of_the_form_are_large_enough_for_wet_hands(
    phone: Page, unchanged: PagesProcess
) -> None:
    phone.goto(f"{unchanged.address}/nests/box-1/check")
    phone.locator(".different > summary").click()
    for target in phone.locator("button:visible, .choice, summary, select, .tick").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 48, target.text_content()
        assert box["width"] >= 48, target.text_content()
    save = phone.locator("#save").bounding_box()
    assert save is not None
    assert save["height"] >= 68


EVIL = "<img src=x onerror=alert(1)>"


def test_nothing_that_came_from_afar_is_run(browser: Browser, pages: PagesProcess) -> None:
    now = datetime.now(UTC)
    pages.readings.commit(
        Batch(
            dead_letters=(DeadLetter(topic=EVIL, payload=EVIL.encode(), reason=EVIL, at=now),),
            strangers=(
                Stranger(device=EVIL, measure=EVIL, topic=EVIL, value=1, unit=EVIL, at=now),
            ),
        )
    )
    page = browser.new_page()
    run: list[str] = []

    def dismiss(dialog: Dialog) -> None:
        run.append(dialog.message)
        dialog.dismiss()

    def hear(message: ConsoleMessage) -> None:
        if "Content Security" in message.text:
            run.append(message.text)

    page.on("dialog", dismiss)
    page.on("console", hear)
    for path in ["/wall", *PHONE_PAGES]:
        page.goto(pages.address + path)
        page.wait_for_timeout(300)
        assert page.locator("img").count() == 0
    page.goto(f"{pages.address}/sensors")
    shown = page.get_by_text(EVIL).count()
    page.close()
    assert run == []
    assert shown >= 3


def test_the_air_of_a_nest_is_drawn_and_can_be_zoomed(
    browser: Browser, pages: PagesProcess
) -> None:
    page = browser.new_page(viewport={"width": 1240, "height": 900})
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))

    def hear(message: ConsoleMessage) -> None:
        if message.type == "error":
            faults.append(message.text)

    page.on("console", hear)
    page.goto(f"{pages.address}/nests/box-1/check")
    page.locator("#eggs").fill("1")
    page.locator("#save").click()
    page.wait_for_url("**/nests/box-1?saved=*")
    page.locator("#chart .plot-container").wait_for(timeout=30_000)
    before = page.evaluate("document.getElementById('chart').layout.xaxis.range")
    page.locator("#chart").scroll_into_view_if_needed()
    box = page.locator("#chart .nsewdrag").first.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 100, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 120, steps=8)
    page.mouse.up()
    page.wait_for_timeout(500)
    after = page.evaluate("document.getElementById('chart').layout.xaxis.range")
    page.close()
    assert faults == []
    assert before != after
    assert all(re.match(r"\d{4}-\d\d-\d\d", str(end)) for end in after)
