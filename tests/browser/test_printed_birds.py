"""Sheets as a browser prints them: the one to hand over is one page, whatever the book knows."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from service.nests.nest import Bird, Sex
from service.settings import edits
from tests.browser.pages_process import wait_for
from tests.browser.test_setting_up import Served, serving
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

pytestmark = pytest.mark.browser

TODAY = date(2026, 4, 21)
PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    shed = open_kept_shed(tmp_path_factory.mktemp("printed"))
    shed.services().editor.change(edits.cages(count=2, boxes_each=1), by=None, at=NOW)
    with serving(shed) as running:
        yield running
    shed.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1240, "height": 900})
    yield context.new_page()
    context.close()


def add(shed: KeptShed, sex: Sex, ring: str, **told: object) -> int:
    """The widest letters there are, so that every line is as full as it can be."""
    bird = Bird(id=0, sex=sex, ring=ring.ljust(40, "W"), name="M" * 60, **told)  # type: ignore[arg-type]
    return shed.stores.records.birds.add(bird, today=TODAY).id


def fullest_bird(shed: KeptShed) -> int:
    """Every forebear known, every field as long as it may be, many long notes."""
    old = [add(shed, Sex.COCK if n % 2 else Sex.HEN, f"old {n}") for n in range(1, 5)]
    sire = add(shed, Sex.COCK, "sire", sire_id=old[0], dam_id=old[1])
    dam = add(shed, Sex.HEN, "dam", sire_id=old[0], dam_id=old[3])
    bird = add(
        shed,
        Sex.HEN,
        "young",
        variety="W " * 39,
        hatched_on=date(2025, 5, 3),
        sire_id=sire,
        dam_id=dam,
    )
    write_notes(shed, bird)
    return bird


def write_notes(shed: KeptShed, bird: int) -> None:
    for day in range(1, 21):
        shed.stores.records.birds.add_note(
            bird, on=date(2026, 3, day), text="W" * 500, by="Jo", at=NOW
        )


def pages_of(page: Page, address: str, folder: Path) -> int:
    page.goto(address)
    printed = page.pdf(path=folder / "printed.pdf", prefer_css_page_size=True)
    return len(PAGE.findall(printed))


def test_the_sheet_to_hand_over_is_one_page(served: Served, page: Page, tmp_path: Path) -> None:
    book = served.shed.stores.records.birds
    plain = book.add(Bird(id=0, sex=Sex.HEN, ring="H 1"), today=TODAY)
    noted = book.add(Bird(id=0, sex=Sex.HEN, ring="H 2"), today=TODAY)
    write_notes(served.shed, noted.id)
    for bird in (plain.id, noted.id, fullest_bird(served.shed)):
        address = f"{served.address}/setup/birds/{bird}/sheet"
        assert pages_of(page, address, tmp_path) == 1, bird


def test_nothing_but_the_sheet_is_printed(served: Served, page: Page) -> None:
    birds = served.shed.stores.records.birds
    bird = birds.add(Bird(id=0, sex=Sex.HEN, ring="P 1"), today=TODAY)
    page.goto(f"{served.address}/setup/birds/{bird.id}/sheet")
    page.emulate_media(media="print")
    assert page.locator(".way").first.is_hidden()
    assert page.locator("text=Handed over on").is_visible()


def test_a_bird_is_found_while_typing(served: Served, page: Page) -> None:
    birds = served.shed.stores.records.birds
    birds.add(Bird(id=0, sex=Sex.HEN, ring="ZQ 7", name="Fern"), today=TODAY)
    birds.add(Bird(id=0, sex=Sex.COCK, ring="ZQ 8", name="Moss"), today=TODAY)
    page.goto(f"{served.address}/setup/birds")
    assert page.locator("#look").is_hidden()
    page.locator("[name=q]").press_sequentially("zq 7")
    wait_for(page, "document.querySelectorAll('#found .list a').length === 1", 10)
    assert "ZQ 7 Fern" in page.locator("#found").inner_text()
    page.locator("[name=q]").press("Enter")
    assert page.url.endswith("/setup/birds")


def test_birds_are_found_without_a_script(served: Served, browser: Browser) -> None:
    birds = served.shed.stores.records.birds
    birds.add(Bird(id=0, sex=Sex.HEN, ring="XK 1"), today=TODAY)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{served.address}/setup/birds")
    page.locator("[name=q]").fill("xk")
    page.locator("#look").click()
    assert page.locator("#found .list a").count() == 1
    context.close()
