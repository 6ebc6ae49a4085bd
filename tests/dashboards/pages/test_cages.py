"""Sizes and fit-out over real stores: kept, refused in words, and what is missing where."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.nests.fit_out import Size
from service.nests.place import PlaceKind
from service.people.role import Role
from service.settings import edits
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed
from tests.dashboards.page_forms import forms_in
from tests.dashboards.pages.test_first import make_keeper
from tests.dashboards.pages.test_setup_pages import open_session_of

# Common practice, no source.
SIZE = {"width": "60", "depth": "40", "height": "40"}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    opened = open_kept_shed(tmp_path)
    opened.services().editor.change(edits.cages(count=3, boxes_each=1), by=None, at=NOW)
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def keep_list(client: TestClient, kind: str = "cage", items: str = "perches\nwater") -> None:
    answer = client.post("/setup/fit-out", data={"kind": kind, "items": items})
    assert answer.status_code == 303


def test_a_size_is_kept_and_told_in_its_order(shed: KeptShed, client: TestClient) -> None:
    assert client.post("/setup/cages/cage-1/size", data=SIZE).status_code == 303
    assert shed.stores.records.cages.sizes() == {
        "cage-1": Size(width_cm=60, depth_cm=40, height_cm=40)
    }
    assert "60 x 40 x 40 cm" in client.get("/setup/cages").text
    newest = shed.stores.records.changes.changes()[0]
    assert "The size of Cage 1 was set" in newest.what
    assert (newest.before, newest.after) == ("not measured", "60 x 40 x 40 cm")


def test_a_comma_is_a_decimal_point(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/cages/box-1/size", data={"width": "17,5", "depth": "24", "height": "20"})
    assert shed.stores.records.cages.sizes()["box-1"].width_cm == 17.5


def test_a_size_for_all_that_have_none_leaves_the_others(
    shed: KeptShed, client: TestClient
) -> None:
    client.post("/setup/cages/cage-2/size", data=SIZE | {"width": "120"})
    client.post("/setup/cages/cage-1/size", data=SIZE | {"alike": "yes"})
    sizes = shed.stores.records.cages.sizes()
    assert {place: size.width_cm for place, size in sizes.items()} == {
        "cage-1": 60,
        "cage-2": 120,
        "cage-3": 60,
    }


def test_an_empty_size_takes_it_away(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/cages/cage-1/size", data=SIZE)
    client.post("/setup/cages/cage-1/size", data=dict.fromkeys(SIZE, " "))
    assert shed.stores.records.cages.sizes() == {}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"width": "0"}, "Width: 0 is no measure of a cage; allowed: more than 0 and up to 500 cm"),
        ({"depth": "501"}, "Depth: 501 is no measure"),
        ({"height": ""}, "Height: nothing is no measure"),
        ({"width": "nan"}, "Width: nan is no measure"),
        ({"width": "1e400"}, "Width: 1e400 is no measure"),
        ({"width": "<b>"}, "Width: &lt;b&gt; is no measure"),
    ],
)
def test_a_size_that_cant_be_is_refused_in_words(
    shed: KeptShed, client: TestClient, typed: dict[str, str], words: str
) -> None:
    answer = client.post("/setup/cages/cage-1/size", data=SIZE | typed)
    assert answer.status_code == 422
    assert words in answer.text
    assert shed.stores.records.cages.sizes() == {}


def test_a_proposed_list_holds_nothing_until_it_is_kept(shed: KeptShed, client: TestClient) -> None:
    assert "A proposal (common practice, no source)" in client.get("/setup/fit-out").text
    assert list(shed.stores.records.cages.items()) == []
    assert "has not been said yet" in client.get("/setup/cages").text


def test_a_list_is_kept_line_by_line_and_the_change_is_noted(
    shed: KeptShed, client: TestClient
) -> None:
    keep_list(client, items=" perches \n\n  water  bowl\n")
    kept = shed.stores.records.cages.items()
    assert [(one.kind, one.name) for one in kept] == [
        (PlaceKind.CAGE, "perches"),
        (PlaceKind.CAGE, "water bowl"),
    ]
    assert shed.stores.records.changes.changes()[0].after == "perches, water bowl"


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ("water\nwater", "water stands there twice"),
        ("x" * 61, "up to 60 signs"),
        ("\n".join(f"thing {n}" for n in range(41)), "41 lines are too many"),
    ],
)
def test_a_list_that_cant_be_is_refused_and_stays_typed(
    shed: KeptShed, client: TestClient, items: str, words: str
) -> None:
    answer = client.post("/setup/fit-out", data={"kind": "cage", "items": items})
    assert answer.status_code == 422
    assert words in answer.text
    assert items in answer.text
    assert list(shed.stores.records.cages.items()) == []


def test_what_is_missing_is_told_in_walking_order(shed: KeptShed, client: TestClient) -> None:
    keep_list(client)
    ids = [one.id for one in shed.stores.records.cages.items()]
    client.post("/setup/cages/cage-1/looked", data={"all": "there"})
    seen = {f"item.{ids[0]}": "there", f"item.{ids[1]}": "missing"}
    client.post("/setup/cages/cage-2/looked", data=seen)
    client.post(
        "/setup/walk", data={"number.cage-1": "1", "number.cage-2": "3", "number.cage-3": "2"}
    )
    text = client.get("/setup/cages/missing").text
    assert "Cage 1" not in text
    assert text.index("Cage 3") < text.index("Cage 2") < text.index("One place has all")
    assert text.count("not looked for yet") == 1
    assert "water (seen 0 s ago)" in text
    assert text.count("perches") == 1
    assert "Without a list: Box 1, Box 3, Box 2" in text


def test_what_nobody_has_looked_for_is_never_all_there(client: TestClient) -> None:
    keep_list(client)
    assert "nobody has looked" in client.get("/setup/cages").text
    assert "all there" not in client.get("/setup/cages").text


def test_a_look_has_its_age_and_only_what_was_said_is_new(
    shed: KeptShed, client: TestClient
) -> None:
    keep_list(client)
    first, second = (one.id for one in shed.stores.records.cages.items())
    client.post("/setup/cages/cage-1/looked", data={"all": "there"})
    shed.clock.advance(timedelta(hours=5))
    client.post("/setup/cages/cage-1/looked", data={f"item.{second}": "missing"})
    shed.clock.advance(timedelta(minutes=3))
    text = client.get("/setup/cages/cage-1").text
    assert "there, seen 5 h ago" in text
    assert "missing, seen 3 min ago" in text
    assert {one.item_id for one in shed.stores.records.cages.seen()} == {first, second}


def test_the_next_place_of_the_walk_is_one_tap_away(client: TestClient) -> None:
    assert "On to Box 1" in client.get("/setup/cages/cage-1").text
    assert "On to" not in client.get("/setup/cages/box-3").text


@pytest.mark.parametrize("place", ["shed", "cage-9", "%00"])
def test_what_is_no_cage_is_not_known(client: TestClient, place: str) -> None:
    assert client.get(f"/setup/cages/{place}").status_code == 404
    assert client.post(f"/setup/cages/{place}/size", data=SIZE).status_code == 404
    assert client.post(f"/setup/cages/{place}/looked", data={"all": "there"}).status_code == 404
    assert client.post("/setup/fit-out", data={"kind": place, "items": "x"}).status_code == 404


def test_a_helper_looks_into_cages_and_sets_no_size(shed: KeptShed, client: TestClient) -> None:
    keep_list(client)
    make_keeper(shed)
    helper = shed.stores.records.people.add("Kim", Role.HELPER, "no hash at all", NOW)
    open_session_of(shed, client, helper.id)
    assert "Keep the size" not in client.get("/setup/cages/cage-1").text
    assert client.get("/setup/cages/missing").status_code == 200
    assert client.post("/setup/cages/cage-1/looked", data={"all": "there"}).status_code == 303
    assert client.post("/setup/cages/cage-1/size", data=SIZE).status_code == 403
    assert {one.by for one in shed.stores.records.cages.seen()} == {"Kim"}


def test_of_two_who_change_one_list_the_second_is_asked_to_look_again(
    shed: KeptShed, client: TestClient
) -> None:
    keep_list(client, items="perches\nbowl")
    form = next(
        one for one in forms_in(client.get("/setup/fit-out").text) if one.fields["kind"] == "cage"
    )
    late = form.fields | {"items": "perches\nbowl\nbath"}
    assert client.post("/setup/fit-out", data=late).status_code == 303
    answer = client.post("/setup/fit-out", data=form.fields | {"items": "perches"})
    assert answer.status_code == 422
    assert "The list holds now: perches, bowl, bath." in answer.text
    kept = [one.name for one in shed.stores.records.cages.items()]
    assert kept == ["perches", "bowl", "bath"]
    again = next(one for one in forms_in(answer.text) if one.fields["kind"] == "cage")
    assert (
        client.post("/setup/fit-out", data=again.fields | {"items": "perches"}).status_code == 303
    )
