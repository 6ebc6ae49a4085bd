"""A wall that hears nothing says so: pages stopped, watch stopped, both, frozen, script dead.

The cover may come no later than 15 s after the last heartbeat; a few seconds more are given
for two busy cores. All of it is waited for at once: something happens to each of five sheds,
and from then on every page is looked at until each has said it.
"""

import re
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.browser.pages_process import PagesProcess, running_pages, wait_for

pytestmark = pytest.mark.browser

COVERED_WITHIN_S = 20.0
BACK_WITHIN_S = 20.0
LIVE_BEFORE_S = 4.0
LIVE_FOR_S = 18.0
"""Longer than a cover takes to come."""

UNCOVERED = (
    "document.getElementById('cover') !== null && "
    "getComputedStyle(document.getElementById('cover')).visibility !== 'visible'"
)
SCRIPTS = ("live.js", "wall.js", "watchdog.js", ".js")


def covered(page: Page) -> bool:
    """Whether the cover can be seen, by whatever means it came."""
    seen: bool = page.evaluate(
        "getComputedStyle(document.getElementById('cover')).visibility === 'visible'"
    )
    return seen


def verdict(page: Page) -> str:
    return page.locator("#wall text").first.text_content() or ""


def says_not_live(page: Page) -> bool:
    return verdict(page) == "NOT LIVE"


def has_banner(page: Page) -> bool:
    return page.locator("#banner").is_visible()


@dataclass(kw_only=True)
class Watched:
    """One page: when it was first seen to say that it is not live, and in which words."""

    page: Page
    sign: Callable[[Page], bool] = covered
    told_by: str = "#cover"
    began: float = field(default_factory=time.monotonic)
    after_s: float | None = None
    words: str = ""

    def look(self) -> None:
        if self.after_s is None and self.sign(self.page):
            self.after_s = time.monotonic() - self.began
            self.words = self.page.locator(self.told_by).text_content() or ""

    def is_waited_for(self) -> bool:
        return self.after_s is None and time.monotonic() - self.began < COVERED_WITHIN_S

    def in_time(self) -> bool:
        return self.after_s is not None and self.after_s < COVERED_WITHIN_S


@dataclass(kw_only=True)
class Sheds:
    """To one nothing happens; the pages, or watch, or both of the others end."""

    still: PagesProcess
    stopped: PagesProcess
    frozen: PagesProcess
    watchless: PagesProcess
    dark: PagesProcess


@dataclass(kw_only=True)
class Seen:
    """What came of it all, after it has been waited for."""

    sheds: Sheds
    live: Watched
    scriptless: dict[str, Watched]
    pictureless: Watched
    stopped: Watched
    other_page: Watched
    frozen: Watched
    watchless: Watched
    dark: Watched
    stopped_in_s: float


def refuse(route: Route) -> None:
    route.abort()


@pytest.fixture(scope="module")
def sheds(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sheds]:
    names = ("still", "stopped", "frozen", "watchless", "dark")
    with ExitStack() as running:
        yield Sheds(
            **{
                one: running.enter_context(running_pages(tmp_path_factory.mktemp(one)))
                for one in names
            }
        )


@pytest.fixture(scope="module")
def seen(browser: Browser, sheds: Sheds) -> Iterator[Seen]:
    context = browser.new_context(viewport={"width": 1280, "height": 800})

    def opened(shed: PagesProcess, path: str = "/wall", dead: str = "") -> Page:
        page = context.new_page()
        if dead:
            page.route(re.compile(re.escape(dead)), refuse)
        page.goto(f"{shed.address}{path}")
        assert not covered(page) if path == "/wall" else not has_banner(page)
        return page

    others = {
        "stopped": opened(sheds.stopped),
        "frozen": opened(sheds.frozen),
        "watchless": opened(sheds.watchless),
        "dark": opened(sheds.dark),
    }
    other_page = opened(sheds.stopped, "/sensors")
    pictureless = opened(sheds.still)
    pictureless.route("**/wall/picture", lambda route: route.fulfill(status=502, body="gone"))
    live = Watched(page=opened(sheds.still))
    assert verdict(live.page) == "All well"
    began = time.monotonic()
    while time.monotonic() - began < LIVE_BEFORE_S:
        assert not any(covered(page) for page in others.values())
        assert not has_banner(other_page)
        live.page.wait_for_timeout(250)
    scriptless = {dead: Watched(page=opened(sheds.still, dead=dead)) for dead in SCRIPTS}

    watched = {name: Watched(page=page) for name, page in others.items()}
    watched["other_page"] = Watched(page=other_page, sign=has_banner, told_by="#banner")
    sheds.frozen.freeze()
    sheds.watchless.watch.stop()
    watched["watchless"] = Watched(page=others["watchless"], sign=says_not_live, told_by="#wall")
    sheds.dark.watch.stop()
    sheds.dark.stop()
    stopped_in_s = sheds.stopped.stop()
    sheds.still.measure(18.0)
    watched["pictureless"] = Watched(page=pictureless)

    all_of_them = (live, *scriptless.values(), *watched.values())
    while (
        any(one.is_waited_for() for one in all_of_them if one is not live)
        or time.monotonic() - live.began < LIVE_FOR_S
    ):
        for one in all_of_them:
            one.look()
        live.page.wait_for_timeout(500)
    yield Seen(sheds=sheds, live=live, scriptless=scriptless, stopped_in_s=stopped_in_s, **watched)
    context.close()


def test_a_live_wall_stays_live_beyond_the_time_of_its_cover(seen: Seen) -> None:
    assert seen.live.after_s is None
    assert verdict(seen.live.page) == "All well"


def test_the_wall_covers_itself_when_pages_stop_and_comes_back(seen: Seen) -> None:
    assert seen.stopped_in_s < 5.0, "an open stream held up the end"
    assert seen.stopped.in_time()
    assert "NOT LIVE" in seen.stopped.words
    assert re.search(r"Last heard \d\d:\d\d", seen.stopped.words)
    seen.sheds.stopped.start()
    wait_for(seen.stopped.page, UNCOVERED, BACK_WITHIN_S)
    assert verdict(seen.stopped.page) == "All well"


def test_the_wall_covers_itself_when_pages_freeze(seen: Seen) -> None:
    assert seen.frozen.in_time()


def test_the_wall_says_not_live_when_watch_dies_though_pages_live(seen: Seen) -> None:
    wall = seen.watchless
    assert wall.in_time()
    assert re.search(r"Last heard \d\d:\d\d", wall.words)
    assert "watch stopped" in wall.words
    assert not covered(wall.page), "pages are alive: the wall itself says it"
    seen.sheds.watchless.watch.start()
    wait_for(
        wall.page,
        "document.querySelector('#wall text').textContent === 'All well'",
        BACK_WITHIN_S,
    )


def test_the_wall_covers_itself_when_watch_and_pages_stop(seen: Seen) -> None:
    assert seen.dark.in_time()


@pytest.mark.parametrize("dead", SCRIPTS)
def test_the_wall_covers_itself_whichever_script_is_dead(seen: Seen, dead: str) -> None:
    assert seen.scriptless[dead].in_time()


def test_without_scripts_the_page_is_fetched_anew_and_prints_the_time(
    browser: Browser, sheds: Sheds
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{sheds.still.address}/wall")
    told = page.content()
    context.close()
    assert '<meta http-equiv="refresh" content="10">' in told
    assert re.search(r"\d\d:\d\d, 1[28]° now", told)  # 18° once the others have been looked at


def test_a_picture_that_cannot_be_fetched_is_not_taken_for_live(seen: Seen) -> None:
    assert seen.pictureless.in_time()


def test_another_page_says_not_live_when_pages_stop(seen: Seen) -> None:
    assert seen.other_page.in_time()
    assert "NOT LIVE" in seen.other_page.words
