"""Every form of the nest book, filled in wrongly: a page answers, and the book stays sound."""

from collections.abc import Iterator
from datetime import date
from itertools import cycle
from pathlib import Path

import pytest

from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.sound import Surroundings, faults_of
from service.nests.book_correction import Subject
from service.nests.nest import Sex
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed, open_shed
from tests.dashboards.house import browser, people_of, sign_in
from tests.dashboards.page_forms import PageForm, forms_in

PAGES = (
    *("/nests/box-1", "/nests/box-1/check", "/nests/box-2/check", "/nests/box-4/check"),
    *("/nests/box-1/move", "/nests/box-1/book", "/nests/box-1/book/egg/1"),
    *("/nests/box-1/book/clutch/1", "/nests/box-1/book/move/1", "/season/open"),
    *("/season/clean-down", "/setup/birds/new", "/setup/birds/1", "/setup/birds/1/change"),
    *("/setup/pairs/1", "/setup/pairs/new?cock=C3&hen=H3&cage=cage-3&on=2026-04-01"),
    *("/setup/cages/cage-1", "/setup/cages/box-1", "/setup/fit-out", "/setup/species"),
    "/setup/calendars",
)
WRONG = (
    *("0001-01-01T00:00", "9999-12-31T23:59-14:00", "0001-01-01", "9999-12-31", "2026-03-29T02:30"),
    *("nan", "-1", "1e999", "9" * 25, "1" * 5000, "", "a\0b", "a\rb", "\u202eHZ", "\x1b[31m"),
    *("<script>alert(1)</script>", "=1+1", "x" * 20_000),
)


def a_shed(folder: Path) -> FilledShed:
    """One in which every form is there."""
    filled = open_shed(folder)
    filled.fill_nests()
    book, now = filled.records.nest_book, filled.clock.now()
    book.add_bird(sex=Sex.COCK, ring="C3")
    book.add_bird(sex=Sex.HEN, ring="H3")
    filled.records.seasons.open("2026", date(2026, 3, 1))
    eggs = book.nest("box-1").clutch.eggs  # type: ignore[union-attr]
    book.move([(eggs[0].id, "box-1")], to_box="box-2", at=now, now=now, why="warmer", by="Mara")
    book.correct(Subject.CLUTCH, 1, "round", "2", at=now)
    return filled


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FilledShed]:
    filled = a_shed(Path(tmp_path_factory.mktemp("forms")))
    yield filled
    filled.close()


@pytest.fixture(scope="module")
def keeper(shed: FilledShed) -> TestClient:
    return sign_in(browser(shed), shed, people_of(shed)[0])


def sent_wrongly(form: PageForm, wrong: Iterator[str]) -> Iterator[dict[str, str]]:
    """Each field three times with something else in it, the others as they were."""
    for name in form.fields | form.unticked:
        if name != "csrf":
            for _ in range(3):
                yield form.fields | {name: next(wrong)}
    yield {name: next(wrong) for name in form.fields}


@pytest.mark.parametrize("address", PAGES)
def test_a_form_that_is_filled_in_wrongly_is_answered_in_words(
    keeper: TestClient, address: str
) -> None:
    wrong, tried = cycle(WRONG), 0
    page = keeper.get(address)
    assert page.status_code == 200
    for form in forms_in(page.text):
        if not form.posts or form.action == "/logout":
            continue
        for sent in sent_wrongly(form, wrong):
            answer = keeper.post(form.action or address.partition("?")[0], data=sent)
            assert answer.status_code in {200, 303, 403, 404, 422}, (form.action, sent)
            assert "<script>alert" not in answer.text
            tried += 1
    assert tried > 0
    assert keeper.get(address).status_code in {200, 404}


def test_after_all_that_the_book_is_one_that_an_import_takes(
    shed: FilledShed, keeper: TestClient, tmp_path: Path
) -> None:
    for address in PAGES:
        test_a_form_that_is_filled_in_wrongly_is_answered_in_words(keeper, address)
    rows = shed.records.book_copy.rows()
    assert sum(export_book(rows, tmp_path / "book").values()) > 20
    read = read_folder(tmp_path / "book")
    around = Surroundings(
        places=shed.records.nest_book.places(),
        now=shed.clock.now(),
        zone=shed.settings.site.timezone,
    )
    assert [str(fault) for fault in (*read.faults, *faults_of(read.book, around))] == []


def test_what_the_form_of_a_move_does_not_ask_cant_be_sent_beside(tmp_path: Path) -> None:
    shed = a_shed(tmp_path)
    keeper = sign_in(browser(shed), shed, people_of(shed)[0])
    before = shed.records.book_copy.rows()
    sent = {"move.egg_id": "2", "move.by": "Nobody", "bird.bird_id": "77"}
    answer = keeper.post("/nests/box-1/book/move/1", data=sent)
    assert answer.status_code == 422
    assert "Nothing is different from what the book says." in answer.text
    assert shed.records.book_copy.rows() == before
    shed.close()
