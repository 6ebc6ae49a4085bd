"""An egg that is not in sight, told on a phone: what the script does with the counts."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from playwright.sync_api import Page

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import NestCheck
from service.settings.load import load_settings
from service.wiring import open_stores
from tests.browser.pages_process import PagesProcess

pytestmark = pytest.mark.browser


def lay(pages: PagesProcess, eggs: int) -> None:
    """An empty look, and an egg every second day until yesterday."""
    stores = open_stores(load_settings(None, pages.data), pages.data, writer=False)
    for number in range(eggs + 1):
        at = datetime.now(UTC) - timedelta(days=2 * (eggs - number) + 1)
        check = NestCheck(form_id=uuid4(), box="box-1", at=at, eggs=number, chicks=0)
        told = NestCheckPath(stores.records.nest_book, FixedClock(at)).record(check)
        assert isinstance(told, Recorded)
    stores.close()


def test_egg_not_in_sight_is_counted_out_by_the_script_and_its_advice_follows(
    phone: Page, pages: PagesProcess
) -> None:
    lay(pages, 3)
    phone.goto(f"{pages.address}/nests/box-1/check")
    phone.locator(".different > summary").click()
    fate = phone.locator("select[name='egg.2.fate']")
    fate.select_option("not in sight")
    assert phone.locator("#eggs").input_value() == "2"
    fate.select_option("hatched")
    assert (phone.locator("#eggs").input_value(), phone.locator("#chicks").input_value()) == (
        "2",
        "1",
    )
    fate.select_option("not in sight")
    assert phone.locator("#chicks").input_value() == "0"
    phone.locator("#save").click()
    phone.wait_for_url("**/nests/box-1?saved=*")
    said = phone.locator("main").inner_text()
    assert "egg 2 not in sight" in said
    assert "Do not call it lost yet." in said
