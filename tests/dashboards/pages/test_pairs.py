"""Pairs over real stores: kinship is shown before anything is put up; ends are kept and undone."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath
from service.nests.nest import Bird, HenSeen, Life, NestCheck, Sex
from service.settings import edits
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, ZONE
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

TODAY = date(2026, 4, 21)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    """C and H are brother and sister, H2 is nobody's kin."""
    opened = open_kept_shed(tmp_path)
    opened.services().editor.change(edits.cages(count=3, boxes_each=1), by=None, at=NOW)
    add(opened, Sex.COCK, "S")
    add(opened, Sex.HEN, "D")
    add(opened, Sex.COCK, "C", sire_id=1, dam_id=2)
    add(opened, Sex.HEN, "H", sire_id=1, dam_id=2)
    add(opened, Sex.HEN, "H2", hatched_on=date(2025, 9, 1))
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def add(shed: KeptShed, sex: Sex, ring: str, **told: object) -> Bird:
    bird = Bird(id=0, sex=sex, ring=ring, **told)  # type: ignore[arg-type]
    return shed.stores.records.birds.add(bird, today=TODAY)


def sent(**typed: str) -> dict[str, str]:
    return {"cock": "C", "hen": "H2", "cage": "cage-1", "on": "2026-04-01", **typed}


def standing(shed: KeptShed) -> list[tuple[str, int, int]]:
    pairs = shed.stores.records.nest_book.pairs()
    return [(pair.cage, pair.cock.id, pair.hen.id) for pair in pairs if pair.ended_on is None]


def test_the_kinship_is_shown_and_nothing_is_put_up(shed: KeptShed, client: TestClient) -> None:
    text = client.get("/setup/pairs/new", params=sent(hen="H")).text
    assert "Full brother and sister, both out of S and D" in text
    assert "at least 25 %" in text
    assert "1 part in 4" in text
    # S and D stand in two places each, and count in both.
    assert "4 of 4 grandparents and 0 of 8 great-grandparents" in text
    assert standing(shed) == []


def test_nothing_is_put_up_whose_kinship_was_not_shown(shed: KeptShed, client: TestClient) -> None:
    for shown in ({}, {"shown": "3-4"}):
        answer = client.post("/setup/pairs/new", data=sent() | shown)
        assert answer.status_code == 200
        assert "No common forebear stands in the book" in answer.text
        assert "no kinship known" in answer.text
        assert "too little to call them strangers" in answer.text
    assert standing(shed) == []


def test_a_pair_is_put_up_once_its_kinship_was_shown(shed: KeptShed, client: TestClient) -> None:
    answer = client.post("/setup/pairs/new", data=sent(shown="3-5"))
    assert answer.headers["location"] == "/setup/pairs/1"
    assert standing(shed) == [("cage-1", 3, 5)]
    text = client.get("/setup/pairs/1").text
    assert "Put up in Cage 1 from 1 April 2026, and still." in text
    assert "No egg yet." in text
    assert "C and H2, since 1 April 2026" in client.get("/setup/pairs").text
    assert "with H2 in Cage 1" in client.get("/setup/birds/3").text.replace("With", "with")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (sent(cock="H"), "H is a hen"),
        (sent(hen="C"), "was chosen for both"),
        (sent(hen="S"), "S is a cock"),
        (sent(hen="nobody"), "Hen: no bird is called nobody"),
        (sent(hen=""), "A cock and a hen are needed"),
        (sent(cage="box-1"), "choose one of the cages"),
        (sent(cage=""), "Cage: choose one"),
        (sent(on=""), "a day is needed"),
        (sent(on="2026-04-22"), "yet to come"),
        (sent(on="2025-09-01"), "H2 hatched on 1 September 2025"),
    ],
)
def test_what_cant_be_is_refused_in_words(
    shed: KeptShed, client: TestClient, typed: dict[str, str], words: str
) -> None:
    answer = client.post("/setup/pairs/new", data=typed | {"shown": "3-5"})
    assert answer.status_code == 422
    assert words in answer.text.replace("&#39;", "'")
    assert standing(shed) == []


@pytest.mark.parametrize("life", [Life.SOLD, Life.DEAD])
def test_a_bird_that_is_gone_is_not_offered_and_is_refused(
    shed: KeptShed, client: TestClient, life: Life
) -> None:
    gone = add(shed, Sex.HEN, "H9", life=life, life_since=TODAY)
    form = client.get("/setup/pairs/new")
    assert 'value="H9"' not in form.text
    answer = client.post("/setup/pairs/new", data=sent(hen="H9", shown=f"3-{gone.id}"))
    assert answer.status_code == 422
    assert "H9 can&#39;t be put up" in answer.text


def test_a_hen_in_two_cages_is_refused(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    answer = client.post("/setup/pairs/new", data=sent(cock="S", cage="cage-2", shown="1-5"))
    assert answer.status_code == 422
    assert "H2 is paired in Cage 1 since 1 April 2026: a hen can&#39;t be in two" in answer.text
    assert standing(shed) == [("cage-1", 3, 5)]


def test_putting_up_in_a_taken_cage_says_first_which_pair_ends(
    client: TestClient,
) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    text = client.get("/setup/pairs/new", params=sent(cock="S", hen="D", on="2026-04-10")).text
    assert "C and H2 are there now; their pair ends on that day." in text


def test_partners_are_listed_least_kin_first_and_paired_ones_last(
    client: TestClient,
) -> None:
    text = client.get("/setup/pairs/new", params={"cock": "C"}).text.partition("A hen for C")[2]
    order = [text.index(f">{label}<small>") for label in ("H2", "D", "H")]
    assert order == sorted(order)
    assert "mother and son, at least 25 %" in text
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    text = client.get("/setup/pairs/new", params={"cock": "S"}).text.partition("A hen for S")[2]
    assert text.index(">H<small>") < text.index(">H2<small>")
    assert "paired in Cage 1" in text


def test_a_pair_is_ended_and_the_end_is_undone(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    ended = client.post("/setup/pairs/1/end", data={"on": "2026-04-20", "why": "fought"})
    assert ended.status_code == 303
    text = client.get("/setup/pairs/1").text
    assert "from 1 April 2026 to 20 April 2026." in text
    assert "ended: nothing, now 20 April 2026 (fought)" in text
    assert standing(shed) == []
    assert client.post("/setup/pairs/1/undo", data={"correction": "1"}).status_code == 303
    assert standing(shed) == [("cage-1", 3, 5)]


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("", "a day is needed"),
        ("2026-03-31", "before this pair was put up"),
        ("2026-04-22", "yet to come"),
        ("soon", "soon is no day"),
    ],
)
def test_an_end_that_cant_be_is_refused(
    shed: KeptShed, client: TestClient, day: str, words: str
) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    answer = client.post("/setup/pairs/1/end", data={"on": day})
    assert answer.status_code == 422
    assert words in answer.text
    assert len(standing(shed)) == 1


@pytest.mark.parametrize("path", ["", "/end", "/undo"])
def test_a_pair_that_is_not_there_is_not_known(client: TestClient, path: str) -> None:
    method = "GET" if not path else "POST"
    assert client.request(method, f"/setup/pairs/9{path}").status_code == 404


def lay_an_egg(shed: KeptShed) -> None:
    """A look without an egg three days ago, one with an egg a day ago."""
    for days_ago, eggs in ((3.0, 0), (1.0, 1)):
        look(shed, NOW - timedelta(days=days_ago), eggs)


def look(shed: KeptShed, at: datetime, eggs: int) -> None:
    path = NestCheckPath(shed.stores.records.nest_book, FixedClock(at), lambda: ZONE)
    check = NestCheck(form_id=uuid4(), box="box-1", at=at, eggs=eggs, chicks=0, hen=HenSeen.IN_BOX)
    assert not getattr(path.record(check), "questions", ())


def test_what_came_of_a_pair_is_told_with_a_way_to_its_nest(
    shed: KeptShed, client: TestClient
) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    lay_an_egg(shed)
    text = client.get("/setup/pairs/1").text
    assert '<a href="/nests/box-1">Box 1</a>, round 1, first egg 20 April 2026: 1 egg' in text
    assert "In Box 1 a clutch of theirs goes on" in text


def test_a_clutch_goes_on_when_its_pair_has_ended(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/pairs/new", data=sent(shown="3-5"))
    lay_an_egg(shed)
    assert client.post("/setup/pairs/1/end", data={"on": "2026-04-21"}).status_code == 303
    look(shed, NOW, 1)
    nest = shed.stores.records.nest_book.nest("box-1")
    assert nest.clutch is not None
    assert (nest.pair, nest.clutch.pair_id, len(nest.checks)) == (None, 1, 3)
    for path in ("/nests", "/nests/box-1", "/nests/box-1/check"):
        assert client.get(path).status_code == 200, path
    refused = client.post("/setup/pairs/new", data=sent(cock="S", hen="D", shown="1-2"))
    assert refused.status_code == 422
    assert standing(shed) == []
