"""A season as a browser prints it: two pages, also with many pairs and many seasons."""

import re
from collections.abc import Iterator
from datetime import date

import pytest
from playwright.sync_api import Browser

from service.nests.book_rows import (
    BirdRow,
    BookRow,
    BookRows,
    ClutchRow,
    EggRow,
    PairRow,
    SeasonRow,
)
from service.nests.nest import EggFate, Sex
from service.settings import edits
from service.store.sql_book_copy import Taken
from tests.browser.test_setting_up import Served, serving
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

pytestmark = pytest.mark.browser

PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")
CAGES = 20
SEASONS = 12


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    shed = open_kept_shed(tmp_path_factory.mktemp("season"))
    shed.services().editor.change(edits.cages(count=CAGES, boxes_each=1), by=None, at=NOW)
    fill(shed)
    with serving(shed) as running:
        yield running
    shed.close()


def fill(shed: KeptShed) -> None:
    """Twelve seasons; twenty pairs in the last, each with every cause of loss."""
    rows: list[BookRow] = []
    for n in range(SEASONS):
        year = 2026 - SEASONS + 1 + n
        closed = None if year == 2026 else date(year, 12, 1)
        rows.append(
            SeasonRow(season=n + 1, name=str(year), began_on=date(year, 1, 1), closed_on=closed)
        )
    for n in range(1, CAGES + 1):
        rows += [
            BirdRow(bird=2 * n, sex=Sex.COCK, ring=f"HZ-24-{n:03}C"),
            BirdRow(bird=2 * n + 1, sex=Sex.HEN, ring=f"HZ-24-{n:03}H"),
            PairRow(
                pair=n, cage=f"cage-{n}", cock=2 * n, hen=2 * n + 1, put_up_on=date(2026, 2, 1)
            ),
            ClutchRow(clutch=n, box=f"box-{n}", pair=n, round=1),
        ]
        rows += [
            EggRow(egg=10 * n + k, clutch=n, number=k, laid_from=NOW, laid_to=NOW, fate=fate)
            for k, fate in enumerate((f for f in EggFate if f is not EggFate.HATCHED), start=1)
        ]
    found: dict[type[BookRow], tuple[BookRow, ...]] = {}
    for row in rows:
        found[type(row)] = (*found.get(type(row), ()), row)
    shed.stores.records.book_copy.take_in(lambda _: Taken(rows=BookRows(found)))


def test_a_season_of_twenty_pairs_after_eleven_others_prints_on_two_pages(
    served: Served, browser: Browser
) -> None:
    page = browser.new_page()
    page.goto(f"{served.address}/season")
    assert page.get_by_role("heading", name="Season 2026").is_visible()
    printed = page.pdf(prefer_css_page_size=True)
    page.close()
    assert len(PAGE.findall(printed)) == 2


@pytest.mark.parametrize("width", [360, 390, 1240])
def test_nothing_of_a_season_is_wider_than_the_screen(
    served: Served, browser: Browser, width: int
) -> None:
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.goto(f"{served.address}/season")
    beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.close()
    assert beyond <= 0
