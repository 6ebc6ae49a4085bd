"""Set-up over real stores: what is changed, what is refused in words, what is never shown."""

import re
import stat
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.nests.nest import Sex
from service.people.role import Role
from service.settings import edits
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed
from tests.dashboards.pages.test_first import make_keeper, shown, sign_in

SECRET = "marker-secret-9f2"


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    opened = open_kept_shed(tmp_path)
    opened.services().editor.change(edits.cages(count=3, boxes_each=1), by=None, at=NOW)
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def names(shed: KeptShed) -> list[str]:
    return [place.name for place in shed.settings().places]


@pytest.mark.parametrize(
    "path",
    ["", "/shed", "/lamps", "/places", "/places/box-1", "/places/shed", "/broker", "/phones"],
)
def test_every_page_of_set_up_is_there(client: TestClient, path: str) -> None:
    assert client.get(f"/setup{path}").status_code == 200


def test_help_names_the_data_folder_and_the_ways_out(shed: KeptShed, client: TestClient) -> None:
    text = client.get("/help").text
    assert str(shed.data) in text
    for told in ("backup", "restore", "doctor", "keeper NAME", "VPN", "install-units"):
        assert told in text


def test_the_shed_s_name_and_place_are_changed(shed: KeptShed, client: TestClient) -> None:
    form = {"name": "Elm shed", "zone": "Europe/London", "north": "51.5 N", "east": "0.1 W"}
    looked = client.post("/setup/shed", data=form)
    kept = client.post("/setup/shed", data={**form, "shown": shown(looked.text)})
    assert kept.headers["location"] == "/setup"
    assert (shed.settings().shed_name, shed.settings().site.longitude) == ("Elm shed", -0.1)
    assert "Elm shed" in client.get("/setup").text


def test_a_change_is_noted_with_who_made_it(shed: KeptShed, client: TestClient) -> None:
    make_keeper(shed)
    sign_in(shed, client)
    client.post("/setup/places/box-1", data={"name": "By the door"})
    newest = shed.stores.records.changes.changes()[0]
    assert newest.by == "Robin"
    assert "By the door" in newest.what


def test_a_place_gets_another_name_and_keeps_its_id(shed: KeptShed, client: TestClient) -> None:
    answer = client.post("/setup/places/box-2", data={"name": " Lower left "})
    assert answer.status_code == 303
    assert {place.id: place.name for place in shed.settings().places}["box-2"] == "Lower left"
    assert shed.stores.records.nest_book.nest("box-2").box.name == "Lower left"


@pytest.mark.parametrize("name", ["", "x" * 61, "a\tb", "\N{RIGHT-TO-LEFT OVERRIDE}x"])
def test_a_name_that_can_t_be_is_refused_and_stays_typed(
    shed: KeptShed, client: TestClient, name: str
) -> None:
    answer = client.post("/setup/places/box-2", data={"name": name})
    assert answer.status_code == 422
    assert "Not saved" in answer.text
    assert "Box 2" in names(shed)


def test_a_hostile_name_is_inert_on_every_page(client: TestClient) -> None:
    evil = "<img src=x onerror=alert(1)>"
    client.post("/setup/places/box-2", data={"name": evil})
    client.post("/setup/places/cage-2", data={"name": evil})
    pages = ["/setup", "/setup/places", "/setup/places/box-2", "/first/cages", "/nests", "/wall"]
    for path in pages:
        assert "<img" not in client.get(path).text, path


def test_a_box_on_which_nothing_hangs_is_taken_away(shed: KeptShed, client: TestClient) -> None:
    answer = client.post("/setup/places/box-3/remove")
    assert answer.status_code == 303
    assert "Box 3" not in names(shed)
    assert all(nest.box.id != "box-3" for nest in shed.stores.records.nest_book.nests())


def test_a_cage_that_has_a_pair_stays(shed: KeptShed, client: TestClient) -> None:
    book = shed.stores.records.nest_book
    cock, hen = book.add_bird(sex=Sex.COCK, ring="C"), book.add_bird(sex=Sex.HEN, ring="H")
    book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=NOW.date())
    client.post("/setup/places/box-1/remove")
    answer = client.post("/setup/places/cage-1/remove")
    assert answer.status_code == 422
    assert "the nest book writes of it" in answer.text
    assert "Cage 1" in names(shed)


def test_a_place_where_readings_were_taken_stays(shed: KeptShed, client: TestClient) -> None:
    editor = shed.services().editor
    editor.change(edits.adopt(device="t-1", place="box-1", interval="60 s"), by=None, at=NOW)
    shed.hear("clutchweather/t-1/senml", '[{"bn":"t-1:","n":"temperature","u":"Cel","v":20}]')
    editor.change(edits.remove_sensor("t-1"), by=None, at=NOW)
    answer = client.post("/setup/places/box-1/remove")
    assert answer.status_code == 422
    assert "readings were taken there" in answer.text


def test_the_walk_is_put_in_order_and_boxes_go_with_their_cage(
    shed: KeptShed, client: TestClient
) -> None:
    told = {"number.cage-1": "3", "number.cage-2": "1", "number.cage-3": "2"}
    assert client.post("/setup/walk", data=told).status_code == 303
    walked = [nest.box.id for nest in shed.stores.records.nest_book.nests()]
    assert walked == ["box-2", "box-3", "box-1"]


def test_a_flight_and_a_second_box_are_added(shed: KeptShed, client: TestClient) -> None:
    flight = {"kind": "flight", "name": "Big flight", "within": "shed"}
    second = {"kind": "box", "name": "Box 1b", "within": "cage-1"}
    assert client.post("/setup/places", data=flight).status_code == 303
    assert client.post("/setup/places", data=second).status_code == 303
    walked = [nest.box.name for nest in shed.stores.records.nest_book.nests()]
    assert walked == ["Box 1", "Box 1b", "Box 2", "Box 3"]
    assert names(shed)[-1] == "Big flight"


def test_a_box_in_a_box_is_refused(client: TestClient) -> None:
    answer = client.post("/setup/places", data={"kind": "box", "name": "B", "within": "box-1"})
    assert answer.status_code == 422
    assert "a box stands in a cage" in answer.text


@pytest.mark.parametrize("place", ["box-99", "%2e%2e%2fetc", "%00", "BOX-1"])
def test_a_place_that_is_not_there_is_not_known(client: TestClient, place: str) -> None:
    assert client.get(f"/setup/places/{place}").status_code == 404


def broker(**typed: str) -> dict[str, str]:
    return {"url": "mqtt://192.0.2.7", "username": "shed", "password": SECRET, **typed}


def test_a_broker_that_was_named_can_be_taken_back(shed: KeptShed, client: TestClient) -> None:
    assert "Name no broker" not in client.get("/setup/broker").text
    client.post("/setup/broker", data=broker())
    assert shed.settings().broker_told
    assert "Name no broker" in client.get("/setup/broker").text
    answer = client.post("/setup/broker", data={"which": "own"})
    assert answer.headers["location"] == "/setup"
    address = shed.settings().broker
    assert not shed.settings().broker_told
    assert (address.username, address.password_file) == (None, None)
    assert list(shed.data.glob("broker-*")) == []


def test_a_broker_s_password_goes_into_a_file_of_ours_alone(
    shed: KeptShed, client: TestClient
) -> None:
    assert client.post("/setup/broker", data=broker()).headers["location"] == "/setup"
    address = shed.settings().broker
    assert address.host == "192.0.2.7"
    assert address.password_file is not None
    assert address.password_file.read_text().strip() == SECRET
    assert stat.S_IMODE(address.password_file.stat().st_mode) == 0o600


def test_a_password_is_never_shown_nor_noted(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/broker", data=broker())
    wrong = client.post("/setup/broker", data=broker(url="http://x"))
    assert wrong.status_code == 422
    for text in (wrong.text, client.get("/setup/broker").text, client.get("/setup").text):
        assert SECRET not in text
    assert SECRET not in repr(shed.stores.records.changes.changes())
    assert SECRET not in repr(shed.stores.records.kept.read())


def test_a_password_that_is_not_typed_anew_stays(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/broker", data=broker())
    client.post("/setup/broker", data=broker(url="mqtt://192.0.2.8", password=""))
    address = shed.settings().broker
    assert address.host == "192.0.2.8"
    assert address.password_file is not None
    assert address.password_file.read_text().strip() == SECRET


def test_a_new_password_replaces_the_old_file(shed: KeptShed, client: TestClient) -> None:
    client.post("/setup/broker", data=broker())
    client.post("/setup/broker", data=broker(password="another"))
    files = [file.read_text().strip() for file in shed.data.glob("broker-password-*")]
    assert files == ["another"]


def test_a_change_that_fails_leaves_no_file(shed: KeptShed, client: TestClient) -> None:
    answer = client.post("/setup/broker", data=broker(certificate="-----BEGIN CERTIFICATE-----"))
    assert answer.status_code == 422
    assert list(shed.data.glob("broker-*")) == []


def test_a_certificate_that_is_none_is_refused(shed: KeptShed, client: TestClient) -> None:
    pem = "-----BEGIN CERTIFICATE-----\nMIIB\n-----END CERTIFICATE-----"
    answer = client.post("/setup/broker", data=broker(url="mqtts://192.0.2.7", certificate=pem))
    assert answer.status_code == 422
    assert "it can&#39;t be read" in answer.text
    assert shed.settings().broker.host == "127.0.0.1"


def test_a_helper_reads_set_up_and_has_no_form_in_it(shed: KeptShed, client: TestClient) -> None:
    make_keeper(shed)
    people = shed.stores.records.people
    helper = people.add("Kim", Role.HELPER, "no hash at all", NOW)
    open_session_of(shed, client, helper.id)
    text = client.get("/setup").text
    assert "Set-up" in text
    assert "<form" not in re.sub(r'<form[^>]*action="/logout".*?</form>', "", text, flags=re.DOTALL)
    assert "Change the shed" not in text
    for path in ("/setup/shed", "/setup/places", "/setup/broker", "/first/shed"):
        assert client.get(path).status_code in {303, 403}, path
    answer = client.post("/setup/places/box-1", data={"name": "Mine"})
    assert answer.status_code in {303, 403}
    assert "Mine" not in names(shed)


def open_session_of(shed: KeptShed, client: TestClient, person_id: int) -> None:
    from dashboards.cookies import COOKIE
    from service.people.digest import digest_of
    from service.store.people_store import Session

    session = Session(
        digest=digest_of(client.cookies[COOKIE]),
        person_id=person_id,
        made_at=NOW,
        seen_at=NOW,
        ends_at=NOW + timedelta(days=1),
    )
    shed.stores.records.people.open_session(session)


def test_a_helper_s_start_page_leads_only_where_a_helper_may_go(
    shed: KeptShed, client: TestClient
) -> None:
    make_keeper(shed)
    helper = shed.stores.records.people.add("Kim", Role.HELPER, "no hash at all", NOW)
    open_session_of(shed, client, helper.id)
    links = re.findall(r'<a href="(/[a-z]*)">', client.get("/start").text.partition("<nav")[2])
    assert "/nests" in links
    for link in links:
        assert client.get(link).status_code == 200, link


def test_what_the_file_states_is_told_and_can_t_be_changed(tmp_path: Path) -> None:
    shed = open_kept_shed(
        tmp_path,
        {
            "shed": {"name": "Filed", "timezone": "Europe/Amsterdam"},
            "broker": {"url": "mqtt://127.0.0.1:1883"},
            "place": [{"id": "shed", "kind": "shed"}, {"id": "box-1", "kind": "box", "in": "shed"}],
        },
    )
    client = client_of(shed)
    overview = client.get("/setup").text
    place = client.get("/setup/places/box-1").text
    renamed = client.post("/setup/places/box-1", data={"name": "Other"})
    told = client.post("/setup/broker", data=broker())
    files = list(shed.data.glob("broker-*"))
    shed.close()
    assert overview.count("set in the file") >= 4
    assert "<form" not in place.partition("<h1>")[2]
    assert renamed.status_code == 422
    assert "change it there" in renamed.text
    assert told.status_code == 422
    assert files == []
