"""The first day over real stores: each step keeps what it is told, and nobody is held there."""

import re
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from service.people.digest import digest_of
from service.people.first_code import as_kept
from service.people.passwords import password_hash
from service.store.alarm_store import RequestKind
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, beating
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

STEPS = ["shed", "lamps", "cages", "phones", "sensor"]
PASSWORD = "a long pass phrase"
SENML = '[{"bn":"new-1:","n":"temperature","u":"Cel","v":21.5}]'


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[KeptShed]:
    shed = open_kept_shed(tmp_path)
    yield shed
    shed.close()


@pytest.fixture
def client(bare: KeptShed) -> TestClient:
    return client_of(bare)


def shown(text: str) -> str:
    """What the form says that it was worked out for."""
    found = re.search(r'name="shown" value="([^"]*)"', text)
    assert found
    return found[1]


def put_shed(client: TestClient, **typed: str) -> object:
    form = {"name": "Hazel shed", "zone": "Europe/Amsterdam", "north": "", "east": "", **typed}
    looked = client.post("/first/shed", data=form)
    assert looked.status_code == 200, looked.text
    return client.post("/first/shed", data={**form, "shown": shown(looked.text)})


def make_keeper(shed: KeptShed) -> None:
    people = shed.stores.records.people
    people.put_first_code(as_kept("code"), NOW)
    people.add_first_keeper("Robin", password_hash(PASSWORD), as_kept("code"), NOW)


def sign_in(shed: KeptShed, client: TestClient, at: datetime = NOW) -> None:
    """The keeper's browser, without the page that asks for the password."""
    from dashboards.cookies import COOKIE
    from service.store.people_store import Session

    people = shed.stores.records.people
    keeper = people.people()[0]
    session = Session(
        digest=digest_of(client.cookies[COOKIE]),
        person_id=keeper.id,
        made_at=at,
        seen_at=NOW,
        ends_at=NOW + timedelta(days=1),
    )
    people.open_session(session)


def test_a_bare_machine_leads_to_the_first_step(client: TestClient) -> None:
    assert client.get("/").headers["location"] == "/first"
    assert client.get("/first").headers["location"] == "/first/keeper"


def test_a_shed_with_sensors_leads_nowhere(bare: KeptShed, client: TestClient) -> None:
    adopt(bare)
    assert client.get("/").status_code == 200


def test_whoever_skips_everything_comes_to_all_pages(client: TestClient) -> None:
    at, seen = "/first/shed", []
    while at != "/start":
        text = client.get(at).text
        seen.append(at)
        onward = re.findall(r'href="(/first/\w+|/start)">(?:Skip|All pages; )', text)
        assert len(onward) == 1, at
        at = onward[0]
    assert seen == [f"/first/{step}" for step in STEPS]
    assert client.get("/start").status_code == 200


@pytest.mark.parametrize("step", STEPS)
def test_every_step_says_where_it_is_and_leads_to_all_pages(client: TestClient, step: str) -> None:
    text = client.get(f"/first/{step}").text
    assert f"Step {STEPS.index(step) + 2} of 6" in text
    assert 'href="/start"' in text


def test_the_shed_is_kept_once_its_sun_was_shown(bare: KeptShed, client: TestClient) -> None:
    form = {"name": "Hazel shed", "zone": "Europe/Amsterdam", "north": "53,2", "east": "6°36' E"}
    looked = client.post("/first/shed", data=form)
    assert looked.status_code == 200
    assert "Sunrise" in looked.text
    assert bare.settings().site.latitude is None
    kept = client.post("/first/shed", data={**form, "shown": shown(looked.text)})
    assert kept.headers["location"] == "/first/lamps"
    settings = bare.settings()
    assert settings.shed_name == "Hazel shed"
    assert str(settings.site.timezone) == "Europe/Amsterdam"
    assert (settings.site.latitude, settings.site.longitude) == (53.2, 6.6)


def test_another_place_than_the_one_that_was_shown_is_shown_first(
    bare: KeptShed, client: TestClient
) -> None:
    put_shed(client)
    form = {"name": "Hazel shed", "zone": "Australia/Sydney", "north": "", "east": ""}
    stale = shown(client.get("/first/shed").text)
    assert client.post("/first/shed", data={**form, "shown": stale}).status_code == 200
    assert str(bare.settings().site.timezone) == "Europe/Amsterdam"


def test_without_degrees_it_is_said_for_which_place_the_sun_is(client: TestClient) -> None:
    put_shed(client)
    assert "reckoned for Amsterdam" in client.get("/first/shed").text


def test_what_is_wrong_is_said_and_what_was_typed_stays(bare: KeptShed, client: TestClient) -> None:
    evil = "<script>alert(1)</script>" * 3
    answer = client.post(
        "/first/shed", data={"name": evil, "zone": "Atlantis", "north": "95 N", "east": "x"}
    )
    assert answer.status_code == 422
    assert evil not in answer.text
    assert "&lt;script&gt;" in answer.text
    for told in ("Atlantis is no zone", "95 N is not understood", "too many"):
        assert told in answer.text
    for typed in ('value="Atlantis"', 'value="95 N"'):
        assert typed in answer.text
    assert bare.settings().revision == 0


def test_lamps_are_kept_once_their_light_was_told(bare: KeptShed, client: TestClient) -> None:
    form = {"has": "yes", "on": "18:00", "off": "08:00", "dim": "20"}
    told = client.post("/first/lamps", data=form)
    assert "14 h of light, overnight" in told.text
    kept = client.post("/first/lamps", data={**form, "shown": shown(told.text)})
    assert kept.headers["location"] == "/first/cages"
    schedule = bare.settings().light.schedule
    assert schedule is not None
    assert (f"{schedule.on:%H:%M}", f"{schedule.off:%H:%M}") == ("18:00", "08:00")


def test_a_shed_without_lamps_says_so_in_one_press(bare: KeptShed, client: TestClient) -> None:
    answer = client.post("/first/lamps", data={"has": "no", "on": "", "off": "", "dim": ""})
    assert answer.headers["location"] == "/first/cages"
    assert bare.settings().light.schedule is None


def test_nine_cages_all_alike_are_made_and_their_walk_is_shown(
    bare: KeptShed, client: TestClient
) -> None:
    answer = client.post("/first/cages", data={"count": "9", "each": "1"})
    assert answer.headers["location"] == "/first/cages"
    text = client.get("/first/cages").text
    assert text.count("<li>") == 9
    assert text.index("Box 1") < text.index("Box 2") < text.index("Box 9")
    assert len(bare.stores.records.nest_book.nests()) == 9


def test_a_number_of_cages_that_can_t_be_changes_nothing(
    bare: KeptShed, client: TestClient
) -> None:
    answer = client.post("/first/cages", data={"count": "900", "each": "one"})
    assert answer.status_code == 422
    assert 'value="900"' in answer.text
    assert bare.settings().revision == 0


def test_before_there_is_a_keeper_nobody_is_let_in(bare: KeptShed, client: TestClient) -> None:
    answer = client.post("/first/phones", data={"let": "in"})
    assert answer.status_code == 403
    assert bare.settings().bind == "127.0.0.1"


def test_the_keeper_lets_phones_in_and_sees_the_address(bare: KeptShed, client: TestClient) -> None:
    make_keeper(bare)
    sign_in(bare, client)
    answer = client.post("/first/phones", data={"let": "in"})
    assert answer.headers["location"] == "/first/phones"
    assert bare.settings().bind == "0.0.0.0"
    text = client.get("/first/phones").text
    assert "Phones and tablets may come in" in text
    assert "<svg" in text or "has no address in a network" in text
    client.post("/first/phones", data={"let": "out"})
    assert bare.settings().bind == "127.0.0.1"


def test_long_after_the_sign_in_the_switch_asks_for_the_password(
    bare: KeptShed, client: TestClient
) -> None:
    make_keeper(bare)
    sign_in(bare, client, NOW - timedelta(hours=2))
    for path in ("/first/phones", "/setup/phones"):
        assert "Your own password, once more" in client.get(path).text
        assert client.post(path, data={"let": "in"}).status_code != 303
        assert bare.settings().bind == "127.0.0.1"
    answer = client.post("/first/phones", data={"let": "in", "your_password": PASSWORD})
    assert answer.status_code == 303
    assert bare.settings().bind == "0.0.0.0"


def test_the_last_step_asks_the_watch_to_listen_to_everything_once(
    bare: KeptShed, client: TestClient
) -> None:
    for _ in range(3):
        assert client.get("/first/sensor").status_code == 200
    pending = bare.stores.records.requests.pending()
    assert [one.kind for one in pending] == [RequestKind.LISTEN_ROUND]


def test_while_a_round_is_under_way_no_other_is_asked_for(bare: KeptShed) -> None:
    ends = time.monotonic() + 300
    bare.heartbeat = lambda: replace(beating(NOW), round_ends_monotonic=ends)
    assert client_of(bare).get("/first/sensor").status_code == 200
    assert bare.stores.records.requests.pending() == []


def test_a_sender_is_heard_and_can_be_given_a_place(bare: KeptShed, client: TestClient) -> None:
    bare.hear("clutchweather/new-1/senml", SENML)
    text = client.get("/first/sensor").text
    assert "temperature 21.5 °C, 12 s ago" in text
    address = re.findall(r'href="(/sensors/adopt[^"]*)"', text)[0]
    assert client.get(address).status_code == 200


def test_a_topic_from_afar_is_inert(bare: KeptShed, client: TestClient) -> None:
    from service.store.reading_store import Batch, Overheard

    topic = 'room/<img src=x onerror=alert(1)>"&x=1'
    heard = Overheard(topic=topic, payload=b"{}", reason="no feed listens to it", at=NOW)
    bare.stores.readings.commit(Batch(overheard=(heard,)))
    text = client.get("/first/sensor").text
    assert "<img" not in text
    address = re.findall(r'href="(/sensors/describe[^"]*)"', text)[0].replace("&amp;", "&")
    assert client.get(address).status_code == 200


def adopt(shed: KeptShed) -> None:
    from service.settings import edits

    edit = edits.adopt(device="new-1", place="shed", interval="60 s")
    shed.services().editor.change(edit, by=None, at=NOW)


def test_the_first_value_is_shown_large_with_its_age(bare: KeptShed, client: TestClient) -> None:
    adopt(bare)
    bare.hear("clutchweather/new-1/senml", SENML)
    text = client.get("/first/sensor").text
    assert re.search(r'now-value value">\s*21.5', text)
    assert "12 s old" in text
    assert 'href="/wall"' in text


def test_with_a_keeper_and_a_value_the_first_day_is_over(
    bare: KeptShed, client: TestClient
) -> None:
    adopt(bare)
    bare.hear("clutchweather/new-1/senml", SENML)
    make_keeper(bare)
    sign_in(bare, client)
    assert client.get("/first").headers["location"] == "/start"


def test_leaving_and_coming_back_goes_on_where_it_was(bare: KeptShed, client: TestClient) -> None:
    make_keeper(bare)
    sign_in(bare, client)
    assert client.get("/first").headers["location"] == "/first/shed"
    put_shed(client)
    assert client.get("/first").headers["location"] == "/first/lamps"
    client.post("/first/cages", data={"count": "2", "each": "1"})
    assert client.get("/first").headers["location"] == "/first/phones"
    assert "Go on setting up" in client.get("/start").text


def test_what_the_file_states_has_no_field(tmp_path: Path) -> None:
    shed = open_kept_shed(
        tmp_path,
        {
            "shed": {"name": "Filed", "latitude": 53.2, "longitude": 6.6},
            "light": {"on": "06:00", "off": "20:00"},
            "pages": {"bind": "127.0.0.1"},
        },
    )
    client = client_of(shed)
    text = client.get("/first/shed").text
    lamps = client.get("/first/lamps").text
    phones = client.get("/first/phones").text
    shed.close()
    assert "set in the file" in text
    assert 'name="name"' not in text
    assert 'name="north"' not in text
    assert 'name="zone"' in text
    assert "06:00 to 20:00" in lamps
    assert 'name="on"' not in lamps
    assert 'name="let"' not in phones
