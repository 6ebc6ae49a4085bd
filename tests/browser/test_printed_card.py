"""The card of a nest as a browser prints it: one page of A5, also for a crowded box."""

import re
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Browser

from service.nests.book_rows import (
    BirdRow,
    BookRow,
    BookRows,
    ChickRow,
    ClutchRow,
    EggRow,
    MoveRow,
    PairRow,
)
from service.nests.nest import EggFate, Sex
from service.settings import edits
from service.store.sql_book_copy import Taken
from tests.browser.test_setting_up import Served, serving
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

pytestmark = pytest.mark.browser

PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")
BOX = re.compile(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)")
A5_POINTS = (419.53, 595.28)
"""148 x 210 mm at 72 points an inch: ISO 216."""

EGGS = 8


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    shed = open_kept_shed(tmp_path_factory.mktemp("card"))
    shed.services().editor.change(edits.cages(count=2, boxes_each=1), by=None, at=NOW)
    fill(shed)
    with serving(shed) as running:
        yield running
    shed.close()


def fill(shed: KeptShed) -> None:
    """Eight eggs in box 1, four of them chicks with long rings, and two guests of box 2."""
    rows: list[BookRow] = []
    for n in (1, 2):
        rows += [
            BirdRow(bird=2 * n, sex=Sex.COCK, ring=f"HZ-24-{n:03}C", variety="dominant pied green"),
            BirdRow(bird=2 * n + 1, sex=Sex.HEN, ring=f"HZ-24-{n:03}H", variety="spangle cobalt"),
            PairRow(
                pair=n, cage=f"cage-{n}", cock=2 * n, hen=2 * n + 1, put_up_on=date(2026, 2, 1)
            ),
            ClutchRow(clutch=n, box=f"box-{n}", pair=n, round=1),
        ]
    for n in (1, 2):
        for number in range(1, EGGS + 1):
            egg = EGGS * (n - 1) + number
            laid = NOW - timedelta(days=30 - 2 * number)
            hatched = number <= 4 and n == 1
            rows.append(
                EggRow(
                    egg=egg,
                    clutch=n,
                    number=number,
                    laid_from=laid - timedelta(hours=12),
                    laid_to=laid,
                    fate=EggFate.HATCHED if hatched else None,
                    fate_from=NOW - timedelta(days=9) if hatched else None,
                    fate_to=NOW - timedelta(days=8) if hatched else None,
                )
            )
            if hatched:
                rows.append(
                    ChickRow(
                        chick=egg,
                        egg=egg,
                        hatched_from=NOW - timedelta(days=9),
                        hatched_to=NOW - timedelta(days=8),
                        ring=f"HZ-26-0{number}",
                        ringed_at=NOW - timedelta(days=1),
                    )
                )
    moved = [
        MoveRow(move=n, egg=EGGS + n, at=NOW - timedelta(days=20), from_box="box-2", to_box="box-1")
        for n in (1, 2)
    ]
    found: dict[type[BookRow], tuple[BookRow, ...]] = {}
    for row in (*rows, *moved):
        found[type(row)] = (*found.get(type(row), ()), row)
    shed.stores.records.book_copy.take_in(lambda _: Taken(rows=BookRows(found)))


@pytest.mark.parametrize("night", [False, True])
def test_a_crowded_box_is_one_card_of_a5(served: Served, browser: Browser, night: bool) -> None:
    page = browser.new_page()
    page.goto(f"{served.address}/nests/box-1/card")
    if night:
        page.evaluate("document.documentElement.className = 'night'")
    assert page.locator(".holds li").count() == EGGS + 2
    assert page.locator(".holds .guest").count() == 2
    printed = page.pdf(prefer_css_page_size=True)
    assert len(PAGE.findall(printed)) == 1
    width, height = (float(one) for one in BOX.findall(printed)[0])
    assert (width, height) == pytest.approx(A5_POINTS, abs=1)
    page.emulate_media(media="print")
    ink, paper = page.evaluate(
        "[getComputedStyle(document.querySelector('.holds')).color,"
        " getComputedStyle(document.documentElement).backgroundColor]"
    )
    assert (ink, paper) == ("rgb(0, 0, 0)", "rgb(255, 255, 255)")
    page.close()
