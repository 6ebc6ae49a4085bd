"""Two browsers at one shed: what the keeper's lets in and keeps out, the other's shows."""

import time
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from service.people.passwords import password_hash
from service.people.role import Role
from service.settings.load import load_settings
from service.wiring import open_stores
from tests.browser.pages_process import PagesProcess

pytestmark = pytest.mark.browser

PASSWORD = "a few good words"


def browser_page(browser: Browser, width: int, height: int) -> Page:
    return browser.new_context(viewport={"width": width, "height": height}).new_page()


@pytest.fixture
def house(pages: PagesProcess) -> PagesProcess:
    """The shed has a keeper, Mara, and a helper, Jo."""
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    for name, role in (("Mara", Role.KEEPER), ("Jo", Role.HELPER)):
        stores.records.people.add(name, role, password_hash(PASSWORD), datetime.now(UTC))
    stores.close()
    return pages


@pytest.fixture
def desk(browser: Browser, house: PagesProcess) -> Iterator[Page]:
    """The keeper's browser, signed in."""
    page = browser_page(browser, 1240, 900)
    sign_in(page, house, "Mara")
    yield page
    page.context.close()


def sign_in(page: Page, house: PagesProcess, name: str, path: str = "/start") -> None:
    page.goto(f"{house.address}{path}")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"**{path}")


def test_a_tablet_shows_the_wall_until_its_token_is_taken_back(
    browser: Browser, desk: Page, house: PagesProcess
) -> None:
    desk.goto(f"{house.address}/people/walls")
    desk.get_by_label("What shall it be called?").fill("by the door")
    desk.get_by_role("button", name="Make a token").click()
    address = desk.locator("section.saved code").first.text_content() or ""
    tablet = browser_page(browser, 1280, 800)
    tablet.goto(address)
    tablet.wait_for_selector("#wall")
    assert "token" not in tablet.url
    tablet.goto(f"{house.address}/nests")
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible()
    tablet.goto(f"{house.address}/wall")
    tablet.wait_for_selector("#wall")
    desk.goto(f"{house.address}/people/walls")
    expect(desk.get_by_text("last seen")).to_be_visible()
    desk.get_by_role("button", name="Take it back").click()
    expect(desk.get_by_text("taken back")).to_be_visible()
    began = time.monotonic()
    # Its open stream ends, and the tablet asks for the wall anew: within the minute.
    tablet.wait_for_url("**/login?next=%2Fwall", timeout=60_000)
    assert time.monotonic() - began < 60
    tablet.context.close()


def test_a_helper_writes_a_check_and_is_known_by_name(
    browser: Browser, desk: Page, house: PagesProcess
) -> None:
    phone = browser_page(browser, 390, 844)
    sign_in(phone, house, "Jo", "/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    stores = open_stores(load_settings(None, house.data), house.data, writer=False)
    (check,) = stores.records.nest_book.nest("box-1").checks
    stores.close()
    assert check.by == "Jo"
    phone.goto(f"{house.address}/people")
    expect(phone.get_by_text("This is the keeper's")).to_be_visible()
    phone.context.close()
    assert desk.url.endswith("/start")


def test_a_check_survives_a_session_that_ends_meanwhile(
    browser: Browser, desk: Page, house: PagesProcess
) -> None:
    phone = browser_page(browser, 390, 844)
    sign_in(phone, house, "Jo", "/nests/box-1/check")
    phone.locator("[data-for=eggs][data-by='1']").click()
    desk.goto(f"{house.address}/people")
    desk.get_by_text("New password, or leaving").click()
    desk.get_by_label("A password for Jo").fill(PASSWORD)
    desk.get_by_role("button", name="Set the password").click()
    desk.wait_for_url("**/people")
    phone.locator("#save").click()
    expect(phone.get_by_text("You are not signed in any more")).to_be_visible()
    with phone.context.expect_page() as opened:
        phone.get_by_role("link", name="Sign in on another page").click()
    other = opened.value
    other.get_by_label("Your name").fill("Jo")
    other.get_by_label("Password").fill(PASSWORD)
    other.get_by_role("button", name="Sign in").click()
    other.wait_for_url(f"{house.address}/")
    # The token of the held page is stale now; the next one is not.
    phone.get_by_role("button", name="Send it now").click()
    expect(phone.get_by_text("This page was open for long")).to_be_visible()
    phone.get_by_role("button", name="Send it now").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    phone.context.close()


def test_signing_out_on_one_page_shows_on_the_other(desk: Page, house: PagesProcess) -> None:
    second = desk.context.new_page()
    second.goto(f"{house.address}/nests")
    desk.goto(f"{house.address}/start")
    desk.get_by_role("button", name="Sign out").click()
    desk.wait_for_url("**/login")
    second.reload()
    expect(second.get_by_role("heading", name="Sign in")).to_be_visible()


def test_no_page_of_people_is_refused_a_part_by_the_policy(desk: Page, house: PagesProcess) -> None:
    faults: list[str] = []
    desk.on("console", lambda one: faults.append(one.text) if one.type == "error" else None)
    desk.on("pageerror", lambda error: faults.append(str(error)))
    for path in ("/people", "/people/walls", "/changes", "/password", "/login", "/start"):
        desk.goto(f"{house.address}{path}")
    desk.goto(f"{house.address}/people/walls")
    desk.get_by_label("What shall it be called?").fill("by the door")
    desk.get_by_role("button", name="Make a token").click()
    assert desk.locator("svg.qr").bounding_box()
    assert faults == []
