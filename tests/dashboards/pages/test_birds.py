"""Birds over real stores: found, kept, changed, refused in words, and handed over on a sheet."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from dashboards.access import Least, least_for
from service.nests.nest import Bird, Life, Sex
from service.people.role import Role
from service.settings import edits
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed
from tests.dashboards.pages.test_first import make_keeper, sign_in
from tests.dashboards.pages.test_setup_pages import open_session_of

TODAY = date(2026, 4, 21)
EVIL = "<img src=x onerror=alert(1)>"


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    opened = open_kept_shed(tmp_path)
    opened.services().editor.change(edits.cages(count=2, boxes_each=1), by=None, at=NOW)
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def add(shed: KeptShed, sex: Sex, ring: str, **told: object) -> Bird:
    bird = Bird(id=0, sex=sex, ring=ring, **told)  # type: ignore[arg-type]
    return shed.stores.records.birds.add(bird, today=TODAY)


def form(**typed: str) -> dict[str, str]:
    return {"ring": "HZ 25 007", "sex": "hen", "life": "alive", **typed}


def mark_on(text: str) -> str:
    found = re.search(r'name="mark" value="([0-9a-f]+)"', text)
    assert found
    return found.group(1)


def test_a_bird_is_added_with_all_that_is_told(shed: KeptShed, client: TestClient) -> None:
    add(shed, Sex.COCK, "C 1", name="Moss", hatched_on=date(2024, 1, 1))
    sent = form(
        name="Fern", variety="opaline", hatched="2025-05-03", sire="c 1 moss", place="cage-1"
    )
    answer = client.post("/setup/birds/new", data=sent)
    assert answer.headers["location"] == "/setup/birds/2"
    made = shed.stores.records.birds.bird(2)
    assert (made.sire_id, made.hatched_on, made.place) == (1, date(2025, 5, 3), "cage-1")
    page = client.get("/setup/birds/2").text
    for told in ("HZ 25 007 Fern", "opaline", "3 May 2025", "Cage 1", "C 1 Moss"):
        assert told in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (form(ring="", name=""), "one of them is needed"),
        (form(ring="c 1"), "a ring is given once"),
        (form(ring="x" * 41), "41 signs are too many; allowed: up to 40"),
        (form(sex="both"), "choose cock, hen or unknown"),
        (form(life="lost"), "choose alive, sold or dead"),
        (form(hatched="2026-04-22"), "22 April 2026 is yet to come; allowed: up to 21 April 2026"),
        (form(hatched="last May"), "last May is no day"),
        (form(sire="H 1"), "Sire: H 1 is a hen; a sire is a cock."),
        (form(dam="C 1"), "Dam: C 1 is a cock; a dam is a hen."),
        (form(sire="nobody"), "no bird is called nobody"),
        (form(sire="C"), "such as C 1"),
        (form(sire="C 1", hatched="2023-12-31"), "a parent is older than its chick"),
        (form(life="dead", since="2026-05-01"), "1 May 2026 is yet to come"),
        (form(place="box-1"), "choose one of the places"),
    ],
)
def test_what_cant_be_is_refused_in_words_and_stays_typed(
    shed: KeptShed, client: TestClient, typed: dict[str, str], words: str
) -> None:
    add(shed, Sex.COCK, "C 1", hatched_on=date(2024, 1, 1))
    add(shed, Sex.HEN, "H 1")
    answer = client.post("/setup/birds/new", data={**typed, "variety": "sky blue"})
    assert answer.status_code == 422
    assert words in answer.text.replace("&#39;", "'")
    assert 'value="sky blue"' in answer.text
    assert len(shed.stores.records.birds.birds()) == 2


def test_a_change_keeps_what_stood_before_and_is_undone_on_the_page(
    shed: KeptShed, client: TestClient
) -> None:
    make_keeper(shed)
    sign_in(shed, client)
    add(shed, Sex.HEN, "H 1", hatched_on=date(2024, 1, 1))
    page = client.get("/setup/birds/1/change").text
    sent = form(ring="H 1", hatched="2024-02-01", mark=mark_on(page), why="read wrongly")
    assert client.post("/setup/birds/1/change", data=sent).status_code == 303
    told = client.get("/setup/birds/1").text
    assert "hatched: 1 January 2024, now 1 February 2024 (read wrongly)" in told
    assert client.post("/setup/birds/1/undo", data={"correction": "1"}).status_code == 303
    assert shed.stores.records.birds.bird(1).hatched_on == date(2024, 1, 1)
    assert "undone" in client.get("/setup/birds/1").text
    again = client.post("/setup/birds/1/undo", data={"correction": "1"})
    assert again.status_code == 422
    assert "undone already" in again.text


def test_a_change_of_another_bird_is_not_undone_by_this_one_s_page(
    shed: KeptShed, client: TestClient
) -> None:
    add(shed, Sex.HEN, "H 1")
    add(shed, Sex.HEN, "H 2")
    client.post("/setup/birds/2/change", data=form(ring="H 2b"))
    assert client.post("/setup/birds/1/undo", data={"correction": "1"}).status_code == 404
    assert shed.stores.records.birds.bird(2).ring == "H 2b"


def test_two_who_change_the_same_bird_dont_undo_each_other(
    shed: KeptShed, client: TestClient
) -> None:
    add(shed, Sex.HEN, "H 1")
    mark = mark_on(client.get("/setup/birds/1/change").text)
    assert client.post("/setup/birds/1/change", data=form(ring="H 2", mark=mark)).status_code == 303
    late = client.post("/setup/birds/1/change", data=form(ring="H 1", name="Fern", mark=mark))
    assert late.status_code == 422
    assert "Somebody else has changed this bird" in late.text
    assert shed.stores.records.birds.bird(1).ring == "H 2"


def test_birds_are_found_by_a_part_of_what_is_known_of_them(
    shed: KeptShed, client: TestClient
) -> None:
    add(shed, Sex.COCK, "HZ 24 001", name="Moss", variety="grey", place="cage-2")
    add(shed, Sex.HEN, "HZ 24 002", name="Fern", variety="grey opaline")
    add(shed, Sex.HEN, "HZ 23 009", life=Life.SOLD, life_since=date(2025, 1, 1))

    def found(text: str) -> list[str]:
        page = client.get("/setup/birds", params={"q": text}).text
        return re.findall(r'<a href="/setup/birds/(\d+)">', page)

    assert found("") == ["1", "2", "3"]
    assert found("grey") == ["1", "2"]
    assert found("OPAL hen") == ["2"]
    assert found("cage 2") == ["1"]
    assert found("sold") == ["3"]
    assert found("zebra") == []
    assert "0 of 3 found" in client.get("/setup/birds?q=zebra").text


def test_kinship_of_the_parents_is_told_with_what_is_not_known(
    shed: KeptShed, client: TestClient
) -> None:
    sire = add(shed, Sex.COCK, "S")
    one = add(shed, Sex.COCK, "A", sire_id=sire.id)
    other = add(shed, Sex.HEN, "B", sire_id=sire.id)
    young = add(shed, Sex.HEN, "Y", sire_id=one.id, dam_id=other.id)
    text = client.get(f"/setup/birds/{young.id}").text
    assert "Half brother and sister, both out of S" in text
    assert "at least 12.5 %" in text
    assert "2 of 4 grandparents and 0 of 8 great-grandparents of this bird" in text
    assert "one of them does not stand in the book" in client.get("/setup/birds/1").text


def test_a_book_with_a_loop_in_it_is_shown_and_can_be_mended(
    shed: KeptShed, client: TestClient
) -> None:
    """A file that was made elsewhere may hold one; the pages make none."""
    add(shed, Sex.COCK, "A")
    add(shed, Sex.COCK, "B", sire_id=1)
    shed.stores.records.transactions.write(
        lambda connection: connection.exec_driver_sql("UPDATE birds SET sire_id = 2 WHERE id = 1")
    )
    page = client.get("/setup/birds/1")
    assert page.status_code == 200
    assert "No kinship can be told: A is out of B is out of A" in page.text
    assert "A is out of B is out of A" in client.get("/setup/pairs/new").text
    mended = client.post("/setup/birds/1/change", data=form(ring="A", sex="cock", sire=""))
    assert mended.status_code == 303


def test_a_dead_bird_that_is_still_put_up_is_told(shed: KeptShed, client: TestClient) -> None:
    cock, hen = add(shed, Sex.COCK, "C"), add(shed, Sex.HEN, "H")
    book = shed.stores.records.nest_book
    book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 4, 1))
    sent = form(ring="C", sex="cock", life="dead", since="2026-04-20")
    client.post("/setup/birds/1/change", data=sent)
    text = client.get("/setup/birds/1").text
    assert "died on 20 April 2026" in text
    assert "It is still put up with H in Cage 1" in text


def test_notes_stay_newest_first_with_their_day(shed: KeptShed, client: TestClient) -> None:
    add(shed, Sex.HEN, "H")
    client.post("/setup/birds/1/notes", data={"text": "light in weight", "on": "2026-04-01"})
    client.post("/setup/birds/1/notes", data={"text": f"fit {EVIL}", "on": ""})
    text = client.get("/setup/birds/1").text
    assert text.index("21 April 2026") < text.index("1 April 2026")
    assert "written" in text
    assert "<img" not in text


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"text": "", "on": "2026-04-01"}, "nothing was written"),
        ({"text": "x" * 501, "on": ""}, "501 signs are too many"),
        ({"text": "fit", "on": "2026-04-22"}, "yet to come"),
        ({"text": "fit", "on": "22/4"}, "is no day"),
    ],
)
def test_a_note_that_cant_be_is_refused_and_stays_typed(
    shed: KeptShed, client: TestClient, sent: dict[str, str], words: str
) -> None:
    add(shed, Sex.HEN, "H")
    answer = client.post("/setup/birds/1/notes", data=sent)
    assert answer.status_code == 422
    assert words in answer.text
    assert sent["text"] in answer.text
    assert list(shed.stores.records.birds.notes(1)) == []


def test_the_sheet_tells_ring_parents_days_and_newest_notes(
    shed: KeptShed, client: TestClient
) -> None:
    add(shed, Sex.COCK, "C", name="Moss")
    add(shed, Sex.HEN, "H", hatched_on=date(2025, 5, 3), sire_id=1)
    birds = shed.stores.records.birds
    for day in range(1, 12):
        birds.add_note(2, on=date(2026, 3, day), text=f"note {day} " * 60, by="Jo", at=NOW)
    text = client.get("/setup/birds/2/sheet").text
    for told in ("3 May 2025", "C Moss", "not known", "11 March 2026", "6 older ones are in"):
        assert told in text
    assert "1 March 2026:" not in text.replace("11 March 2026", "")
    assert text.count("(and more in the book)") == 5


def test_hostile_text_is_inert_on_every_page(client: TestClient) -> None:
    sent = form(ring=EVIL, name=EVIL, variety=EVIL)
    assert client.post("/setup/birds/new", data=sent).status_code == 303
    for path in ("", "/1", "/1/change", "/1/sheet", "/new"):
        assert "<img" not in client.get(f"/setup/birds{path}").text, path
    assert "<img" not in client.get("/setup/birds", params={"q": EVIL}).text
    assert "<img" not in client.get("/setup/pairs/new", params={"cock": EVIL}).text


@pytest.mark.parametrize("path", ["/7", "/7/change", "/7/sheet"])
def test_a_bird_that_is_not_there_is_not_known(client: TestClient, path: str) -> None:
    assert client.get(f"/setup/birds{path}").status_code == 404


def test_a_helper_reads_birds_writes_notes_and_changes_nothing_else(
    shed: KeptShed, client: TestClient
) -> None:
    make_keeper(shed)
    add(shed, Sex.HEN, "H")
    helper = shed.stores.records.people.add("Kim", Role.HELPER, "no hash at all", NOW)
    open_session_of(shed, client, helper.id)
    text = client.get("/setup/birds").text + client.get("/setup/birds/1").text
    assert "A new bird" not in text
    assert "/setup/birds/1/change" not in text
    assert client.get("/setup/birds/1/sheet").status_code == 200
    client.post("/setup/birds/1/notes", data={"text": "sits fluffed up", "on": ""})
    assert shed.stores.records.birds.notes(1)[0].by == "Kim"
    assert client.post("/setup/birds/1/change", data=form(ring="Z")).status_code == 403
    assert least_for("POST", "/setup/birds/new") is Least.KEEPER
