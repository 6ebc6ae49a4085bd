"""Today's list under a thumb: what is kept while the shed is not heard, and a tap too many."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from service.nests.duty import ByCalendar, DutyTerms, DutyWhere, WhereKind
from tests.browser.shed_in_time import ShedInTime, shed_in_time
from tests.dashboards.filled_shed import NOW

pytestmark = pytest.mark.browser


@pytest.fixture
def fed(tmp_path: Path) -> Iterator[ShedInTime]:
    with shed_in_time(tmp_path) as running:
        seed = DutyTerms(
            name="Seed",
            where=DutyWhere(kind=WhereKind.EVERY_CAGE),
            schedule=ByCalendar(),
            since=NOW - timedelta(hours=1),
        )
        running.shed.records.duties.add([seed], by=None, form_id=uuid4())
        yield running


def told(fed: ShedInTime) -> list[str]:
    done = fed.shed.records.duties.done(date(2026, 4, 1))
    return [one.slot.place for one in done if one.stands]


def all_done(page: Page) -> Locator:
    """The big button where the keeper stands."""
    return page.locator(".cage.now button[value=all], .cage details[open] button[value=all]").last


def test_the_walk_goes_on_unheard_and_all_of_it_is_stored_once_when_heard(
    phone: Page, fed: ShedInTime
) -> None:
    phone.goto(f"{fed.address}/today")
    phone.context.set_offline(True)
    all_done(phone).tap()
    expect(phone.locator("#cage-1 .kept-here")).to_contain_text("not stored yet")
    expect(phone.locator("#cage-1 button[value=all]")).to_be_hidden()
    expect(phone.locator("#cage-2 details")).to_have_attribute("open", "")
    expect(phone.locator("#cage-1 .kept-here .undo")).to_be_in_viewport()
    all_done(phone).tap()
    expect(phone.locator("#kept")).to_contain_text("2 taps are kept on this phone")
    assert told(fed) == []
    phone.context.set_offline(False)
    expect(phone.locator(".cage.done")).to_have_count(2)
    expect(phone.locator(".kept-here")).to_have_count(0)
    assert sorted(told(fed)) == ["cage-1", "cage-2"]


def test_what_is_kept_outlives_the_page_and_is_sent_by_the_next_one(
    phone: Page, fed: ShedInTime
) -> None:
    phone.goto(f"{fed.address}/today")
    fed.stop()
    all_done(phone).tap()
    expect(phone.locator("#cage-1 .kept-here")).to_contain_text("not stored yet")
    phone.goto("about:blank")
    fed.start()
    phone.goto(f"{fed.address}/today")
    expect(phone.locator("#cage-1.done")).to_be_visible()
    assert told(fed) == ["cage-1"]


def test_what_is_kept_can_be_taken_back_before_it_is_sent(phone: Page, fed: ShedInTime) -> None:
    phone.goto(f"{fed.address}/today")
    phone.context.set_offline(True)
    all_done(phone).tap()
    # While it is on its way it can't be: every four seconds, and for a moment only.
    undo = phone.locator("#cage-1 .kept-here .undo")
    expect(undo).to_be_enabled()
    undo.tap()
    expect(phone.locator(".kept-here")).to_have_count(0)
    phone.context.set_offline(False)
    phone.reload()
    assert told(fed) == []
    assert phone.locator(".cage.done").count() == 0


def test_a_double_tap_does_one_cage(phone: Page, fed: ShedInTime) -> None:
    phone.goto(f"{fed.address}/today")
    box = all_done(phone).bounding_box()
    assert box is not None
    for _ in range(3):
        phone.touchscreen.tap(box["x"] + 40, box["y"] + 30)
    expect(phone.locator(".cage.done")).to_have_count(1)
    phone.wait_for_timeout(300)  # nothing else may come of it
    assert told(fed) == ["cage-1"]


def test_the_line_that_was_done_stays_in_sight_with_its_undo(phone: Page, fed: ShedInTime) -> None:
    phone.goto(f"{fed.address}/today")
    all_done(phone).tap()
    undo = phone.locator("#cage-1.done .undo")
    expect(undo).to_be_in_viewport()
    undo.tap()
    expect(phone.locator("#cage-1.now")).to_be_visible()
    assert told(fed) == []


def test_without_a_script_each_tap_is_a_form(browser: Browser, fed: ShedInTime) -> None:
    context = browser.new_context(
        java_script_enabled=False, viewport={"width": 390, "height": 844}, has_touch=True
    )
    page = context.new_page()
    page.goto(f"{fed.address}/today")
    for cage in ("cage-1", "cage-2"):
        page.locator(f"#{cage}.now button[value=all]").tap()
        expect(page.locator(f"#{cage}.done .undo")).to_be_in_viewport()
    assert told(fed) == ["cage-1", "cage-2"]
    context.close()
