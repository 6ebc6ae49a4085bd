"""Birds found while typing, and what is said when nothing comes back."""

import pytest
from playwright.sync_api import Page, expect

from service.nests.nest import Sex
from service.settings.load import load_settings
from service.wiring import open_stores
from tests.browser.pages_process import PagesProcess

pytestmark = pytest.mark.browser


@pytest.fixture
def birds(phone: Page, pages: PagesProcess) -> Page:
    """The page of birds, with three more in the book."""
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    for ring in ("HZ-25-001", "HZ-25-002", "KV-24-009"):
        stores.records.nest_book.add_bird(sex=Sex.COCK, ring=ring)
    stores.close()
    phone.goto(f"{pages.address}/setup/birds")
    return phone


def test_the_list_follows_what_is_typed(birds: Page) -> None:
    birds.get_by_role("searchbox").fill("kv")
    expect(birds.locator("#found")).to_contain_text("1 of 5 found")
    expect(birds.locator("#found")).not_to_contain_text("HZ-25-001")
    expect(birds.locator("#not-found-yet")).to_be_hidden()


@pytest.mark.parametrize("answer", ["sign in first", None])
def test_a_list_that_is_not_of_what_was_typed_says_so(birds: Page, answer: str | None) -> None:
    """The sign-in has ended, and another page comes; or the shed's machine does not answer."""
    birds.route(
        "**/setup/birds?q=*",
        lambda route: route.abort() if answer is None else route.fulfill(body=answer),
    )
    birds.get_by_role("searchbox").fill("kv")
    expect(birds.locator("#not-found-yet")).to_be_visible()
    expect(birds.get_by_role("button", name="Find")).to_be_visible()
    birds.unroute("**/setup/birds?q=*")
    birds.get_by_role("button", name="Find").click()
    birds.wait_for_url("**/setup/birds?q=kv")
    expect(birds.locator("#found")).to_contain_text("1 of 5 found")
