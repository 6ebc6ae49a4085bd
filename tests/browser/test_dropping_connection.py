"""A connection that drops, pages that stop, two phones: every look arrives exactly once."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from service.nests.nest import NestCheck
from service.settings.load import load_settings
from service.wiring import open_stores
from tests.browser.pages_process import PagesProcess
from tests.browser.shed_in_time import ShedInTime, shed_in_time
from tests.dashboards.filled_shed import NOW

pytestmark = pytest.mark.browser

KEPT = "Not saved yet, kept here"


@pytest.fixture
def served(tmp_path: Path) -> Iterator[ShedInTime]:
    """Box 1 has three eggs, the last found two days ago; box 2 has one."""
    with shed_in_time(tmp_path) as running:
        running.shed.put_up_pair(1, ring="1")
        running.shed.put_up_pair(2, ring="2")
        for number in range(4):
            running.shed.look(1, 8 - 2 * number, number)
        running.shed.look(2, 3, 0)
        running.shed.look(2, 2, 1)
        yield running


@pytest.fixture
def second(browser: Browser) -> Iterator[Page]:
    """Another phone."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    yield context.new_page()
    context.close()


def looks(served: ShedInTime, box: int = 1) -> tuple[NestCheck, ...]:
    return served.shed.records.nest_book.nest(f"box-{box}").checks


def eggs(served: ShedInTime, box: int = 1) -> int:
    clutch = served.shed.records.nest_book.nest(f"box-{box}").clutch
    return len(clutch.eggs) if clutch else 0


def open_form(page: Page, served: ShedInTime, box: int = 1, query: str = "") -> None:
    page.goto(f"{served.address}/nests/box-{box}/check{query}")


def found_egg(page: Page, number: int) -> None:
    page.locator(".tap", has=page.locator(f'[data-egg="{number}"]')).click()


def test_look_pressed_without_a_connection_says_kept_and_nothing_else(
    phone: Page, served: ShedInTime
) -> None:
    before = len(looks(served))
    open_form(phone, served)
    found_egg(phone, 4)
    expect(phone.locator("#will")).to_contain_text("Will write: egg 4 found. 4 eggs")
    phone.context.set_offline(True)
    phone.locator("#save").click()
    expect(phone.locator("#will")).to_contain_text(KEPT)
    phone.wait_for_timeout(4500)  # one more try of its own
    expect(phone.locator("#will")).to_contain_text(KEPT)
    assert "Saved" not in phone.locator(".foot").inner_text()
    assert len(looks(served)) == before
    phone.context.set_offline(False)
    phone.wait_for_url("**/nests/box-1?saved=*")
    expect(phone.locator("section.saved")).to_contain_text("Saved")
    expect(phone.locator("section.saved")).to_contain_text("egg 4 found")
    assert len(looks(served)) == before + 1


def test_pressed_look_outlives_a_reload_and_is_sent_once_by_itself(
    phone: Page, served: ShedInTime
) -> None:
    before = len(looks(served))
    open_form(phone, served)
    found_egg(phone, 4)
    phone.context.set_offline(True)
    phone.locator("#save").click()
    expect(phone.locator("#will")).to_contain_text(KEPT)
    served.stop()
    phone.context.set_offline(False)
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        phone.reload()
    served.clock.advance(timedelta(hours=2))
    served.start()
    # The browser may try its own page for errors again by itself: another tab is opened.
    again = phone.context.new_page()
    phone.close()
    again.goto(f"{served.address}/nests/box-1/check", wait_until="commit")
    again.wait_for_url("**/nests/box-1?saved=*")
    assert len(looks(served)) == before + 1
    assert (eggs(served), looks(served)[-1].eggs) == (4, 4)
    open_form(again, served)
    assert again.locator("#eggs").input_value() == "4"
    assert again.locator("#draft").is_hidden()


def test_look_that_waited_is_told_for_when_it_was_pressed(phone: Page, served: ShedInTime) -> None:
    phone.clock.install(time=NOW)
    open_form(phone, served)
    phone.context.set_offline(True)
    phone.locator("#save").click()
    phone.clock.run_for(100)
    expect(phone.locator("#will")).to_contain_text(KEPT)
    served.clock.advance(timedelta(hours=3))
    phone.clock.set_system_time(NOW + timedelta(hours=3))
    phone.context.set_offline(False)
    phone.clock.run_for(5000)
    phone.wait_for_url("**/nests/box-1?saved=*")
    assert abs(looks(served)[-1].at - NOW) < timedelta(seconds=10)


def test_kept_looks_of_two_boxes_are_sent_from_any_page(phone: Page, served: ShedInTime) -> None:
    before = len(looks(served)), len(looks(served, 2))
    for box in (1, 2):
        open_form(phone, served, box)
        phone.context.set_offline(True)
        phone.locator("#save").click()
        expect(phone.locator("#will")).to_contain_text(KEPT)
        # It goes on to another page of the book, which is not sent either way yet.
        phone.route("**/check", lambda route: route.abort())
        phone.context.set_offline(False)
        phone.goto(f"{served.address}/nests")
        expect(phone.locator("#unsent")).to_contain_text("Box 1, ")
        expect(phone.locator("#unsent")).to_contain_text("not saved yet, kept here")
        phone.unroute("**/check")
        if box == 1:
            phone.route("**/box-1/check", lambda route: route.abort())
    phone.unroute("**/box-1/check")
    expect(phone.locator("#unsent")).to_contain_text("Saved. Box 1: nothing new. 3 eggs")
    phone.goto(f"{served.address}/nests")
    expect(phone.locator("#unsent")).to_be_empty()
    assert (len(looks(served)), len(looks(served, 2))) == (before[0] + 1, before[1] + 1)


def test_form_from_todays_list_leads_back_there_with_what_was_stored(
    phone: Page, served: ShedInTime
) -> None:
    open_form(phone, served, query="?from=today")
    found_egg(phone, 4)
    phone.locator("#save").click()
    phone.wait_for_url("**/today?saved=*")
    assert phone.url.endswith("#cage-1")
    assert eggs(served) == 4


def test_second_phone_sees_what_the_first_did_and_loses_nothing(
    phone: Page, second: Page, served: ShedInTime
) -> None:
    open_form(phone, served)
    open_form(second, served)
    found_egg(phone, 4)
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    served.clock.advance(timedelta(minutes=3))
    found_egg(second, 4)
    second.locator(".different > summary").click()
    second.locator("select[name='egg.2.fate']").select_option("broken")
    expect(second.locator("#will")).to_contain_text("Asks first: Since this page was opened")
    second.locator("#save").click()
    expect(second.locator(".ask")).to_contain_text("egg 4 found")
    assert second.locator("#eggs").input_value() == "3"
    expect(second.locator("#will")).to_contain_text("Will write: egg 2 broken. 3 eggs")
    second.locator("#save").click()
    second.wait_for_url("**/nests/box-1?saved=*")
    assert (eggs(served), looks(served)[-1].eggs) == (4, 3)


def test_two_phones_that_found_nothing_new_are_not_asked(
    phone: Page, second: Page, served: ShedInTime
) -> None:
    before = len(looks(served))
    for page in (phone, second):
        open_form(page, served)
    for page in (phone, second):
        served.clock.advance(timedelta(minutes=1))
        page.locator("#save").click()
        page.wait_for_url("**/nests/box-1?saved=*")
    assert len(looks(served)) == before + 2


def test_double_tap_is_one_look(phone: Page, served: ShedInTime) -> None:
    before = len(looks(served))
    open_form(phone, served)
    phone.locator("#save").dblclick()
    phone.wait_for_url("**/nests/box-1?saved=*")
    assert len(looks(served)) == before + 1


def test_late_look_after_a_later_one_is_entered_as_of_now_with_a_note(
    phone: Page, second: Page, served: ShedInTime
) -> None:
    phone.clock.install(time=NOW)
    open_form(phone, served)
    phone.context.set_offline(True)
    phone.locator("#save").click()
    expect(phone.locator("#will")).to_contain_text(KEPT)
    served.clock.advance(timedelta(minutes=15))
    open_form(second, served)
    second.locator("#save").click()
    second.wait_for_url("**/nests/box-1?saved=*")
    phone.clock.set_system_time(NOW + timedelta(minutes=15))
    phone.context.set_offline(False)
    phone.clock.run_for(5000)
    expect(phone.locator(".ask")).to_contain_text("the book takes looks in their order")
    phone.get_by_text("Enter it as of now").click()
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    assert "Looked in on 21 April at 14:" in looks(served)[-1].note
    assert "14:45" not in looks(served)[-1].note


def test_look_outlives_pages_that_are_stopped_and_started(phone: Page, pages: PagesProcess) -> None:
    phone.goto(f"{pages.address}/nests/box-1/check")
    found_egg(phone, 1)
    pages.stop()
    phone.locator("#save").click()
    expect(phone.locator("#will")).to_contain_text(KEPT)
    pages.start()
    phone.wait_for_url("**/nests/box-1?saved=*", timeout=20_000)
    expect(phone.locator("section.saved")).to_contain_text("egg 1 found")
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    found = stores.records.nest_book.nest("box-1").checks
    stores.close()
    assert len(found) == 1
