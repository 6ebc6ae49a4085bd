"""A wall that hears nothing says so: pages stopped, watch stopped, both, frozen, script dead.

The cover may come no later than 15 s after the last heartbeat; a few seconds more are given
for two busy cores.
"""

import re
import time

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.browser.pages_process import PagesProcess, wait_for

pytestmark = pytest.mark.browser

COVERED_WITHIN_S = 20.0
BACK_WITHIN_S = 20.0


def covered(page: Page) -> bool:
    """Whether the cover can be seen, by whatever means it came."""
    seen: bool = page.evaluate(
        "getComputedStyle(document.getElementById('cover')).visibility === 'visible'"
    )
    return seen


def wait_until(page: Page, wanted: bool, within_s: float) -> float:
    """Wait for the cover to come or go; return how long it took [s]."""
    began = time.monotonic()
    while time.monotonic() - began < within_s:
        if covered(page) is wanted:
            return time.monotonic() - began
        page.wait_for_timeout(200)
    raise AssertionError(f"the cover is {'not ' if wanted else ''}there after {within_s} s")


def verdict(page: Page) -> str:
    return page.locator("#wall text").first.text_content() or ""


def stays_live(page: Page, for_s: float) -> None:
    began = time.monotonic()
    while time.monotonic() - began < for_s:
        assert not covered(page)
        page.wait_for_timeout(250)


def test_a_live_wall_stays_live_beyond_the_time_of_its_cover(wall: Page) -> None:
    assert verdict(wall) == "All well"
    stays_live(wall, 18.0)


def test_the_wall_covers_itself_when_pages_stop_and_comes_back(
    wall: Page, pages: PagesProcess
) -> None:
    stays_live(wall, 4.0)
    assert pages.stop() < 5.0, "an open stream held up the end"
    wait_until(wall, True, COVERED_WITHIN_S)
    words = wall.locator("#cover-picture").text_content() or ""
    assert "NOT LIVE" in words
    assert re.search(r"Last heard \d\d:\d\d", words)
    pages.start()
    wait_until(wall, False, BACK_WITHIN_S)
    assert verdict(wall) == "All well"


def test_the_wall_covers_itself_when_pages_freeze(wall: Page, pages: PagesProcess) -> None:
    stays_live(wall, 2.0)
    pages.freeze()
    wait_until(wall, True, COVERED_WITHIN_S)


def test_the_wall_says_not_live_when_watch_dies_though_pages_live(
    wall: Page, pages: PagesProcess
) -> None:
    pages.watch.stop()
    wait_for(
        wall, "document.querySelector('#wall text').textContent === 'NOT LIVE'", COVERED_WITHIN_S
    )
    words = wall.locator("#wall").text_content() or ""
    assert re.search(r"Last heard \d\d:\d\d", words)
    assert "watch stopped" in words
    assert not covered(wall), "pages are alive: the wall itself says it"
    pages.watch.start()
    wait_for(wall, "document.querySelector('#wall text').textContent === 'All well'", BACK_WITHIN_S)


def test_the_wall_covers_itself_when_watch_and_pages_stop(wall: Page, pages: PagesProcess) -> None:
    pages.watch.stop()
    pages.stop()
    wait_until(wall, True, COVERED_WITHIN_S)


def test_the_wall_covers_itself_whichever_script_is_dead(
    browser: Browser, pages: PagesProcess
) -> None:
    def refuse(route: Route) -> None:
        route.abort()

    opened = []
    for dead in ("live.js", "wall.js", "watchdog.js", ".js"):
        page = browser.new_page()
        page.route(re.compile(re.escape(dead)), refuse)
        page.goto(f"{pages.address}/wall")
        assert not covered(page)
        opened.append(page)
    for page in opened:
        wait_until(page, True, COVERED_WITHIN_S)
        page.close()


def test_without_scripts_the_page_is_fetched_anew_and_prints_the_time(
    browser: Browser, pages: PagesProcess
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{pages.address}/wall")
    told = page.content()
    context.close()
    assert '<meta http-equiv="refresh" content="10">' in told
    assert re.search(r"\d\d:\d\d, 12° now", told)


def test_a_picture_that_cannot_be_fetched_is_not_taken_for_live(
    browser: Browser, pages: PagesProcess
) -> None:
    page = browser.new_page()
    page.goto(f"{pages.address}/wall")
    page.route("**/wall/picture", lambda route: route.fulfill(status=502, body="gone"))
    page.wait_for_timeout(1500)
    pages.measure(18.0)
    try:
        wait_until(page, True, COVERED_WITHIN_S)
    finally:
        page.close()


def test_another_page_says_not_live_when_pages_stop(browser: Browser, pages: PagesProcess) -> None:
    page = browser.new_page()
    page.goto(f"{pages.address}/sensors")
    assert not page.locator("#banner").is_visible()
    page.wait_for_timeout(4000)
    pages.stop()
    page.locator("#banner").wait_for(state="visible", timeout=COVERED_WITHIN_S * 1000)
    assert "NOT LIVE" in (page.locator("#banner").text_content() or "")
    page.close()
