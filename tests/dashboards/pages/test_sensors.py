"""Senders get a place, a description, another sensor's place: over real stores, no script."""

import re
from collections.abc import Iterator
from datetime import timedelta
from html import unescape
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from dashboards.cookies import COOKIE
from devices.reading import Quantity
from service.alarms.alarm import Alarm, AlarmState
from service.people.digest import digest_of
from service.people.first_code import as_kept
from service.people.role import Role
from service.rules.limit import Priority
from service.store.alarm_store import RequestKind
from service.store.people_store import Session
from service.store.reading_store import Batch, DeadLetter, Overheard, Stranger
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

EVIL = "<img src=x onerror=alert(1)>"
SENML = (
    '[{"bn":"th-9:","n":"temperature","u":"Cel","v":16.4},'
    '{"n":"relative_humidity","u":"%RH","v":61}]'
)
TOPIC = "clutchweather/th-9/senml"
GATEWAY = '{"air":{"temp_c":16.4,"hum":61},"batt":{"percent":87},"uptime":90210}'
FIXED: dict[str, object] = {
    "place": [{"id": "shed", "kind": "shed"}, {"id": "box-1", "kind": "box", "in": "shed"}],
    "sensor": [{"device": "th-file", "place": "box-1", "interval": "60 s"}],
    "feed": [
        {
            "topic": "fixed/+",
            "format": "json",
            "device": {"level": 2},
            "fields": [{"pointer": "/t", "quantity": "temperature", "unit": "Cel"}],
        }
    ],
}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    kept = open_kept_shed(tmp_path)
    yield kept
    kept.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def adopting(**answers: str) -> dict[str, str]:
    return {"device": "th-9", "place": "shed", "name": "th-9", "interval": "60 s", **answers}


def text_of(page: str) -> str:
    """What a reader sees, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def chosen(page: str) -> dict[str, str]:
    """What a browser would send of the form that saves, untouched."""
    form = page[page.index('class="footed"') : page.index('<div class="foot">')]
    found = {
        match[1]: unescape(match[2])
        for match in re.finditer(r'<input (?:type="hidden" )?name="([^"]+)" value="([^"]*)"', form)
    }
    for match in re.finditer(r'type="radio" name="([^"]+)" value="([^"]*)" checked', form):
        found[match[1]] = unescape(match[2])
    for name, body in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        picked = re.search(r'value="([^"]*)" selected', body) or re.search(r'value="([^"]*)"', body)
        assert picked is not None
        found[name] = unescape(picked[1])
    return found


# Who is new.


def test_a_new_sender_stands_there_with_its_values_and_when_it_was_heard(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear(TOPIC, SENML)
    text = text_of(client.get("/sensors").text)
    assert "th-9 relative humidity 61%, temperature 16.4° heard 12 s ago" in text


def test_a_new_sender_with_a_place_is_a_live_sensor_with_its_next_message(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear(TOPIC, SENML)
    answer = client.post("/sensors/adopt", data=adopting())
    assert answer.status_code == 303
    page = answer.headers["location"]
    assert "Waiting" in client.get(page).text
    shed.hear(TOPIC, SENML, seconds_ago=3)
    told = text_of(client.get(page).text)
    assert "16.4° temperature, 3 s old" in told
    assert "61% relative humidity, 3 s old" in told
    assert "Give it a place" not in client.get("/sensors").text


def test_a_page_that_was_open_for_long_does_not_move_a_sensor_that_has_a_place(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear(TOPIC, SENML)
    assert client.post("/sensors/adopt", data=adopting()).status_code == 303
    (before,) = shed.settings().sensors
    assert client.post("/sensors/adopt", data=adopting()).status_code == 303  # pressed twice
    elsewhere = adopting(place="a new place", new_name="Loft", new_kind="flight", new_within="shed")
    moved = client.post("/sensors/adopt", data=elsewhere)
    assert moved.status_code == 422
    assert "th-9 was set up meanwhile, at shed" in text_of(moved.text)
    assert shed.settings().sensors == (before,)
    assert all(one.name != "Loft" for one in shed.settings().places)


def test_the_shed_is_chosen_while_nothing_stands_there_and_nothing_after(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear(TOPIC, SENML)
    assert chosen(client.get("/sensors/adopt?device=th-9").text)["place"] == "shed"
    client.post("/sensors/adopt", data=adopting())
    shed.hear("clutchweather/th-10/senml", SENML.replace("th-9", "th-10"))
    assert "place" not in chosen(client.get("/sensors/adopt?device=th-10").text)


def test_what_the_page_suggests_is_taken_as_it_stands(shed: KeptShed, client: TestClient) -> None:
    shed.hear(TOPIC, '[{"bn":"th-9:","n":"temp","u":"Cel","v":16.4},{"n":"x7","v":3}]')
    form = chosen(client.get("/sensors/adopt?device=th-9").text)
    assert (form["measure.temp"], form["measure.x7"]) == ("temperature", "")
    assert client.post("/sensors/adopt", data=form).status_code == 303
    (sensor,) = shed.settings().sensors
    assert dict(sensor.measures) == {"temp": Quantity.TEMPERATURE}
    assert sensor.interval == timedelta(seconds=60)


def test_a_new_place_is_made_with_the_sensor_in_it(shed: KeptShed, client: TestClient) -> None:
    shed.hear(TOPIC, SENML)
    form = adopting(place="a new place", new_name="Loft", new_kind="flight", new_within="shed")
    assert client.post("/sensors/adopt", data=form).status_code == 303
    made = next(one for one in shed.settings().places if one.name == "Loft")
    assert (made.kind, made.within) == ("flight", "shed")
    assert shed.settings().sensors[0].place == made.id


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ({"place": ""}, "tap one of the places"),
        ({"place": "cage-99"}, "tap one of the places"),
        ({"place": "a new place"}, "The new place: a name is needed"),
        ({"interval": "often"}, "often is no time"),
        ({"interval": "0 s"}, "1 s"),
        ({"interval": "9999 d"}, "7 d"),
        ({"name": "x" * 61}, "61 signs are too many"),
        ({"name": "a\tb"}, "can't be shown"),
    ],
    ids=str,
)
def test_an_answer_that_cannot_be_changes_nothing_and_is_told_why(
    shed: KeptShed, client: TestClient, answer: dict[str, str], words: str
) -> None:
    shed.hear(TOPIC, SENML)
    sent = client.post("/sensors/adopt", data=adopting(**answer))
    assert sent.status_code == 422
    assert words in text_of(sent.text)
    assert shed.settings().sensors == ()


def test_two_measures_cannot_be_the_same_quantity(shed: KeptShed, client: TestClient) -> None:
    shed.hear(TOPIC, '[{"bn":"th-9:","n":"a","u":"Cel","v":1},{"n":"b","u":"Cel","v":2}]')
    form = adopting(**{"measure.a": "temperature", "measure.b": "temperature"})
    sent = client.post("/sensors/adopt", data=form)
    assert sent.status_code == 422
    assert "temperature: chosen twice" in text_of(sent.text)


def test_an_ignored_sender_is_heard_of_no_more_until_it_is_heeded(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear(TOPIC, SENML)
    assert client.post("/sensors/ignore", data={"device": "th-9"}).status_code == 303
    page = client.get("/sensors").text
    assert "Give it a place" not in page
    assert "Heed it again" in page
    assert client.post("/sensors/heed", data={"device": "th-9"}).status_code == 303
    shed.hear(TOPIC, SENML)
    assert "Give it a place" in client.get("/sensors").text


def test_a_sender_that_nobody_hears_has_no_page(client: TestClient) -> None:
    assert client.get("/sensors/adopt?device=nobody").status_code == 404
    assert client.get("/sensors/one?device=nobody").status_code == 404
    assert client.get("/sensors/describe?topic=nowhere").status_code == 404
    for path in ("/sensors/adopt", "/sensors/one", "/sensors/describe"):
        assert client.get(path).status_code == 404
    assert client.get(f"/sensors/letters?asked={10**30}").status_code == 422
    assert client.get("/sensors/letters?asked=77").status_code == 200
    assert client.get("/sensors/letters/0123").status_code == 404


def test_to_listen_round_is_asked_of_watch_once(shed: KeptShed, client: TestClient) -> None:
    for _ in range(2):
        assert client.post("/sensors/listen").status_code == 303
    kinds = [one.kind for one in shed.stores.records.requests.pending()]
    assert kinds == [RequestKind.LISTEN_ROUND]
    assert "Asked" in client.get("/sensors").text


def test_each_change_says_who_made_it(shed: KeptShed, client: TestClient) -> None:
    shed.hear(TOPIC, SENML)
    client.post("/sensors/adopt", data=adopting())
    (change,) = shed.stores.records.changes.changes()
    assert change.what == "Sensor th-9 was set up at shed."


# A message of another maker.


def overhear(shed: KeptShed, topic: str, payload: str) -> None:
    one = Overheard(topic=topic, payload=payload.encode(), reason="no feed", at=NOW)
    shed.stores.readings.commit(Batch(overheard=(one,)))


def test_what_would_be_read_stands_there_before_anything_is_kept(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    text = text_of(client.get("/sensors/describe?topic=gateway/a1").text)
    assert "Would read from a1 : temperature 16.4° relative humidity 61% battery 87%" in text
    assert shed.settings().revision == 0


def test_the_usual_message_is_described_and_its_sender_placed_untouched(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    answer = client.post("/sensors/describe", data={**form, "act": "save"})
    assert answer.status_code == 303
    assert parse_qs(urlsplit(answer.headers["location"]).query)["device"] == ["a1"]
    shed.hear("gateway/a1", GATEWAY, seconds_ago=2)
    told = text_of(client.get(answer.headers["location"]).text)
    assert "16.4° temperature, 2 s old" in told
    assert "87% battery, 2 s old" in told


def test_it_is_one_change_or_none(shed: KeptShed, client: TestClient) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    wrong = client.post("/sensors/describe", data={**form, "interval": "often", "act": "save"})
    assert wrong.status_code == 422
    assert [feed.topic for feed in shed.settings().feeds] == ["clutchweather/+/senml"]
    client.post("/sensors/describe", data={**form, "act": "save"})
    assert len(shed.stores.records.changes.changes()) == 1


def test_another_choice_shows_what_it_would_read_and_keeps_nothing(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    leaf = next(name for name, value in form.items() if value == "temperature|Cel")
    shown = client.post("/sensors/describe", data={**form, leaf: "temperature|degF", "act": "look"})
    assert "temperature \N{MINUS SIGN}8.7°" in text_of(shown.text)
    assert shed.settings().revision == 0


def test_a_value_that_cannot_be_in_that_unit_is_told_before_it_is_kept(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "gateway/a1", '{"temp": 164}')
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    shown = client.post(
        "/sensors/describe", data={**form, "leaf.0": "temperature|Cel", "act": "look"}
    )
    assert "temperature 164.0°, which can't be: another unit?" in text_of(shown.text)


def test_all_like_it_are_described_where_more_than_one_was_heard(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    assert chosen(client.get("/sensors/describe?topic=gateway/a1").text)["filter"] == "gateway/a1"
    overhear(shed, "gateway/b2", GATEWAY)
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    assert form["filter"] == "gateway/+"
    client.post("/sensors/describe", data={**form, "act": "save"})
    shed.hear("gateway/b2", GATEWAY)
    text = text_of(client.get("/sensors").text)
    assert "b2 battery 87%, relative humidity 61%, temperature 16.4° heard 12 s ago" in text


def test_the_letters_of_a_topic_that_is_described_are_read_again(
    shed: KeptShed, client: TestClient
) -> None:
    shed.hear("gateway/a1", GATEWAY)  # no feed: it is a dead letter, and overheard
    assert len(shed.stores.readings.dead_letters()) == 1
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    client.post("/sensors/describe", data={**form, "act": "save"})
    assert shed.settle() == ["1 of 1 could be read."]
    assert shed.stores.readings.dead_letters() == []
    assert {one.value for one in shed.stores.readings.latest()} == {16.4, 61.0, 87.0}


def test_a_plain_number_is_described_as_one(shed: KeptShed, client: TestClient) -> None:
    overhear(shed, "plain/lamp-eye/lux", "420")
    form = chosen(client.get("/sensors/describe?topic=plain/lamp-eye/lux").text)
    assert form["leaf.0"] == "illuminance|lx"
    answer = client.post("/sensors/describe", data={**form, "act": "save"})
    assert answer.status_code == 303
    assert shed.settings().feeds[-1].quantity is Quantity.ILLUMINANCE


def test_senml_under_another_topic_is_described_as_senml(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "attic/th-9", SENML.replace('"temperature"', '"t"'))
    form = chosen(client.get("/sensors/describe?topic=attic/th-9").text)
    assert form["measure.t"] == "temperature"
    assert client.post("/sensors/describe", data={**form, "act": "save"}).status_code == 303
    (sensor,) = shed.settings().sensors
    assert (sensor.device, dict(sensor.measures)) == ("th-9", {"t": Quantity.TEMPERATURE})


def test_what_is_no_message_of_ours_says_so_and_asks_nothing(
    shed: KeptShed, client: TestClient
) -> None:
    overhear(shed, "camera/1", "\x00\x01 JFIF")
    text = client.get("/sensors/describe?topic=camera/1").text
    assert "no value can be taken from it" in text
    assert 'name="act"' not in text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"device": "level:9"}, "Which sender it is"),
        ({"device": "name", "own_name": EVIL}, "The sender's name"),
        ({"device": "name", "own_name": ""}, "The sender's name is missing"),
        ({"device": "name", "own_name": "a", "filter": "gateway/+"}, "choose this topic alone"),
        ({"filter": "other/#"}, "does not cover gateway/a1"),
        ({"filter": "#bad"}, "does not cover gateway/a1"),
        ({"time": "/nowhere"}, "No time stands at /nowhere"),
        ({"leaf.0": "", "leaf.1": "", "leaf.2": ""}, "No value is chosen"),
        ({"leaf.0": "temperature|Cel", "leaf.1": "temperature|Cel"}, "temperature: chosen twice"),
        ({"leaf.0": "happiness|Cel", "leaf.1": "", "leaf.2": ""}, "No value is chosen"),
    ],
    ids=str,
)
def test_a_description_that_cannot_be_is_refused_in_words(
    shed: KeptShed, client: TestClient, change: dict[str, str], words: str
) -> None:
    overhear(shed, "gateway/a1", GATEWAY)
    form = chosen(client.get("/sensors/describe?topic=gateway/a1").text)
    answer = client.post("/sensors/describe", data={**form, **change, "act": "save"})
    assert answer.status_code == 422
    assert words in text_of(answer.text)
    assert shed.settings().revision == 0


# Dead letters.


def letter(shed: KeptShed, topic: str, payload: str) -> str:
    """A dead letter; the address at which it is tried again."""
    one = DeadLetter(topic=topic, payload=payload.encode(), reason="no feed", at=NOW, count=3)
    shed.stores.readings.commit(Batch(dead_letters=(one,)))
    page = client_of(shed).get("/sensors/letters").text
    found: list[str] = re.findall(r'href="(/sensors/letters/[0-9a-f]+)"', page)
    return found[0]


def again(client: TestClient, address: str) -> str:
    """Try a letter with what the page suggests; the address of its sensor."""
    page = client.get(address).text
    onward = re.findall(r'href="(/sensors/describe\?letter=[0-9a-f]+)"', page)
    form = chosen(client.get(onward[0]).text)
    answer = client.post("/sensors/describe", data={**form, "act": "save"})
    assert answer.status_code == 303
    return str(answer.headers["location"])


@pytest.mark.parametrize(
    ("message", "offered", "value"),
    [
        (("plain/eye-1/lux", "420"), "As a plain number", "420 lx illuminance"),
        (("attic/th-9", SENML), "As SenML", "16.4° temperature"),
        (("gateway/a1", GATEWAY), "As JSON", "16.4° temperature"),
    ],
)
def test_a_letter_is_read_after_all_once_it_is_described(
    shed: KeptShed, client: TestClient, message: tuple[str, str], offered: str, value: str
) -> None:
    address = letter(shed, *message)
    assert offered in client.get(address).text
    sensor = again(client, address)
    assert shed.settle() == ["3 of 3 could be read."]
    assert value in text_of(client.get(sensor).text)
    assert shed.stores.readings.dead_letters() == []


def test_what_came_of_a_try_is_told(shed: KeptShed, client: TestClient) -> None:
    address = letter(shed, "gateway/a1", GATEWAY)
    answer = client.post(address)
    assert answer.status_code == 303
    assert "In a moment it is told" in client.get(answer.headers["location"]).text
    (outcome,) = shed.settle()
    assert outcome.startswith("0 of 3 could be read.")
    assert outcome in text_of(client.get(answer.headers["location"]).text)


def test_under_the_topic_of_our_own_sensors_nothing_else_can_be_described(
    shed: KeptShed, client: TestClient
) -> None:
    page = client.get(letter(shed, TOPIC, GATEWAY)).text
    assert "SenML is read and nothing else" in page
    assert "describe?letter" not in page


# One sensor.


def placed(shed: KeptShed, client: TestClient, **answers: str) -> None:
    shed.hear(TOPIC, SENML)
    assert client.post("/sensors/adopt", data=adopting(**answers)).status_code == 303


def test_name_place_and_interval_are_changed(shed: KeptShed, client: TestClient) -> None:
    placed(shed, client)
    form = adopting(
        name="By the door",
        interval="10 min",
        place="a new place",
        new_name="Box 1",
        new_kind="box",
        new_within="shed",
    )
    assert client.post("/sensors/one", data=form).status_code == 303
    (sensor,) = shed.settings().sensors
    assert (sensor.name, sensor.place, sensor.interval, sensor.overdue_after) == (
        "By the door",
        "box-1",
        timedelta(minutes=10),
        timedelta(minutes=30),
    )


def test_a_sensor_that_is_taken_away_is_new_when_it_is_heard_again(
    shed: KeptShed, client: TestClient
) -> None:
    placed(shed, client)
    assert client.post("/sensors/remove", data={"device": "th-9"}).status_code == 303
    assert shed.settings().sensors == ()
    shed.hear(TOPIC, SENML)
    assert "Give it a place" in client.get("/sensors").text


def test_a_sensor_that_speaks_at_another_pace_is_offered_that_pace(
    shed: KeptShed, client: TestClient
) -> None:
    placed(shed, client)
    for minutes in range(60, 0, -10):
        shed.hear(TOPIC, SENML, seconds_ago=60 * minutes)
    shed.hear(TOPIC, SENML, seconds_ago=3)
    page = client.get("/sensors/one?device=th-9").text
    assert "It is heard every 10 min" in page
    sent = client.post("/sensors/interval", data={"device": "th-9", "interval": "10 min"})
    assert sent.status_code == 303
    assert shed.settings().sensors[0].interval == timedelta(minutes=10)
    assert "It is heard every" not in client.get("/sensors/one?device=th-9").text


def test_a_replaced_sensor_gives_place_name_and_pace_to_the_new_one(
    shed: KeptShed, client: TestClient
) -> None:
    placed(shed, client, name="By the door", interval="5 min")
    shed.hear("clutchweather/th-10/senml", SENML.replace("th-9", "th-10"))
    page = client.get("/sensors/replace?old=th-9").text
    assert "th-10" in page
    answer = client.post("/sensors/replace", data={"old": "th-9", "new": "th-10"})
    assert answer.status_code == 303
    (sensor,) = shed.settings().sensors
    assert (sensor.device, sensor.place, sensor.name, sensor.interval) == (
        "th-10",
        "shed",
        "By the door",
        timedelta(minutes=5),
    )


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"old": "th-9"}, "Choose which sensor goes"),
        ({"new": "th-10"}, "Choose which sensor goes"),
        ({"old": "th-9", "typed": EVIL}, "a device's name"),
        ({"old": "nobody", "new": "th-10"}, "nobody"),
        ({"old": "th-9", "new": "th-9"}, "th-9 is set up already"),
    ],
    ids=str,
)
def test_a_replacement_that_cannot_be_changes_nothing(
    shed: KeptShed, client: TestClient, form: dict[str, str], words: str
) -> None:
    placed(shed, client)
    answer = client.post("/sensors/replace", data=form)
    assert answer.status_code == 422
    assert words in text_of(answer.text)
    assert [one.device for one in shed.settings().sensors] == ["th-9"]


def test_two_devices_of_one_name_are_told_at_the_sensor_with_what_to_do(
    shed: KeptShed, client: TestClient
) -> None:
    placed(shed, client)
    text = "Shed: two devices call themselves th-9 since 11:52, and their readings mix."
    alarm = Alarm(
        id="t1",
        rule="twins:th-9",
        place="shed",
        priority=Priority.MEDIUM,
        state=AlarmState.UNACKNOWLEDGED,
        raised_at=NOW,
        value=2,
        setpoint=1,
        text=text,
    )
    shed.stores.records.alarms.put([alarm])
    assert text in text_of(client.get("/sensors").text)
    told = text_of(client.get("/sensors/one?device=th-9").text)
    assert text in told
    assert "give that one a name of its own" in told


# Who may do what.


def as_helper(shed: KeptShed, client: TestClient) -> None:
    people = shed.stores.records.people
    people.put_first_code(as_kept("code"), NOW)
    people.add_first_keeper("Robin", "no hash at all", as_kept("code"), NOW)
    kim = people.add("Kim", Role.HELPER, "no hash at all", NOW)
    people.open_session(
        Session(
            digest=digest_of(client.cookies[COOKIE]),
            person_id=kim.id,
            made_at=NOW,
            seen_at=NOW,
            ends_at=NOW + timedelta(days=1),
        )
    )


def test_a_helper_reads_of_sensors_and_changes_nothing(shed: KeptShed, client: TestClient) -> None:
    placed(shed, client)
    letter(shed, "gateway/a1", GATEWAY)
    shed.hear("clutchweather/th-10/senml", SENML.replace("th-9", "th-10"))
    before = shed.settings()
    as_helper(shed, client)
    for path in ("/sensors", "/sensors/one?device=th-9", "/sensors/letters"):
        page = client.get(path)
        assert page.status_code == 200, path
        assert 'action="/sensors' not in page.text, path
        assert "Give it a place" not in page.text
        assert "Try again with" not in page.text
    for path in ("/sensors/adopt?device=th-10", "/sensors/new", "/sensors/replace"):
        assert client.get(path).status_code in {303, 403}, path
    for path, form in (
        ("/sensors/adopt", adopting(device="th-10")),
        ("/sensors/one", adopting(name="Mine")),
        ("/sensors/interval", {"device": "th-9", "interval": "1 h"}),
        ("/sensors/remove", {"device": "th-9"}),
        ("/sensors/ignore", {"device": "th-10"}),
        ("/sensors/replace", {"old": "th-9", "new": "th-10"}),
        ("/sensors/describe", {"topic": "gateway/a1", "act": "save"}),
        ("/sensors/listen", {}),
        ("/sensors/new", {"name": "th-11"}),
    ):
        assert client.post(path, data=form).status_code in {303, 403}, path
    assert shed.settings() == before
    assert shed.stores.records.requests.pending() == []


# What the file states, and what comes from afar.


def test_what_the_file_states_is_shown_and_cannot_be_changed(tmp_path: Path) -> None:
    shed = open_kept_shed(tmp_path, FIXED)
    client = client_of(shed)
    page = client.get("/sensors/one?device=th-file").text
    form = {"device": "th-file", "place": "shed", "name": "x", "interval": "60 s"}
    answers = [
        client.post("/sensors/one", data=form),
        client.post("/sensors/remove", data={"device": "th-file"}),
        client.post("/sensors/replace", data={"old": "th-file", "new": "th-10"}),
    ]
    overhear(shed, "fixed/a1", "{}")
    described = client.get("/sensors/describe?topic=fixed/a1").text
    revision = shed.settings().revision
    shed.close()
    assert "set in the file" in page
    assert "Save" not in page
    assert [one.status_code for one in answers] == [422, 422, 422]
    assert all("clutchweather.toml" in one.text for one in answers)
    assert "described in the file" in described
    assert revision == 0


def test_names_topics_and_payloads_from_afar_are_text(shed: KeptShed, client: TestClient) -> None:
    one = Stranger(device=EVIL, measure=EVIL, topic=EVIL, value=1.0, unit=EVIL, at=NOW, count=1)
    overheard = Overheard(
        topic=EVIL, payload=f'{{"{EVIL}": "{EVIL}"}}'.encode(), reason=EVIL, at=NOW
    )
    shed.stores.readings.commit(Batch(strangers=(one,), overheard=(overheard,)))
    address = letter(shed, EVIL + "/x", f'{{"{EVIL}": 1}}')
    onward = re.findall(r'href="(/sensors/describe\?letter=[0-9a-f]+)"', client.get(address).text)
    for path in (
        "/sensors",
        f"/sensors/adopt?device={EVIL}",
        f"/sensors/describe?topic={EVIL}",
        "/sensors/letters",
        address,
        onward[0],
    ):
        page = client.get(path)
        assert page.status_code == 200, path
        assert "<img" not in page.text, path
        assert "&lt;img" in page.text, path


def test_a_sender_whose_name_cannot_be_one_is_not_adopted(
    shed: KeptShed, client: TestClient
) -> None:
    one = Stranger(device=EVIL, measure="t", topic="x", value=1.0, unit="Cel", at=NOW, count=1)
    shed.stores.readings.commit(Batch(strangers=(one,)))
    answer = client.post("/sensors/adopt", data=adopting(device=EVIL))
    assert answer.status_code == 422
    assert shed.settings().sensors == ()
