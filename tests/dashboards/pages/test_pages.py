"""Pages over real stores: what they show, what they keep, what they leave to watch."""

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from dashboards.app import create_app
from dashboards.views.local_words import local_day
from service.alarms.alarm import Alarm, AlarmState
from service.nests.species import SpeciesSettings
from service.rules.limit import Priority
from service.store.alarm_store import RequestKind
from service.store.reading_store import Batch, DeadLetter, Stranger
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed, beating, open_shed
from tests.dashboards.page_forms import forms_in

EVIL = "<img src=x onerror=alert(1)>"

PAGES = [
    "/",
    "/wall",
    "/nests",
    "/nests/box-1",
    "/nests/box-1/card",
    "/nests/box-4/card",
    "/nests/box-3",
    "/nests/box-1/check",
    "/alarms",
    "/sensors",
    "/setup",
    "/api",
]


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_there(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/html")


@pytest.mark.parametrize("path", [*PAGES, "/api/latest", "/api/nests", "/health"])
def test_a_shed_without_a_single_reading_has_its_pages(tmp_path: Path, path: str) -> None:
    empty = open_shed(tmp_path)
    answer = client_of(empty).get(path)
    empty.close()
    assert answer.status_code == 200
    assert "All well" not in answer.text


@pytest.mark.parametrize("path", ["/", "/nests", "/alarms", "/sensors", "/setup", "/wall"])
def test_faults_of_the_settings_file_are_said_on_every_page(tmp_path: Path, path: str) -> None:
    shed = open_shed(tmp_path, faults=("line 7: colour is not a key",))
    answer = client_of(shed).get(path)
    shed.close()
    assert "fault" in answer.text


@pytest.mark.parametrize("path", ["/", "/nests", "/alarms", "/sensors", "/setup"])
def test_what_the_watch_has_to_tell_is_said_on_every_page(tmp_path: Path, path: str) -> None:
    shed = open_shed(tmp_path)
    troubled = replace(beating(NOW), notes=("readings can't be stored: <disk full>",))
    shed.heartbeat = lambda: troubled
    answer = client_of(shed).get(path)
    shed.close()
    assert "readings can&#39;t be stored: &lt;disk full&gt;" in answer.text


def test_where_nothing_was_ever_heard_no_page_says_when(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    deaf = replace(beating(NOW), moved_monotonic={})
    shed.heartbeat = lambda: deaf
    answer = client_of(shed).get("/nests")
    shed.close()
    assert 'Last heard <span id="last-heard">never</span>' in answer.text


def test_a_box_that_is_not_there_is_not_known(client: TestClient) -> None:
    for path in ("/nests/box-99", "/nests/box-99/check", "/api/nests/box-99/air"):
        assert client.get(path).status_code == 404


def test_names_from_afar_are_inert_everywhere(shed: FilledShed, client: TestClient) -> None:
    shed.readings.commit(
        Batch(
            dead_letters=(DeadLetter(topic=EVIL, payload=EVIL.encode(), reason=EVIL, at=NOW),),
            strangers=(
                Stranger(
                    device=EVIL, measure=EVIL, topic=EVIL, value=1.0, unit=EVIL, at=NOW, count=1
                ),
            ),
        )
    )
    shed.records.alarms.put([_alarm(text=EVIL, rule=EVIL)])
    for path in PAGES:
        assert "<img" not in client.get(path).text, path
    assert "&lt;img src=x onerror=alert(1)&gt;" in client.get("/sensors").text
    assert "&lt;img" in client.get("/alarms").text


def test_a_note_in_the_nest_book_is_inert(client: TestClient) -> None:
    answer = client.post("/nests/box-1/check", data=_look(eggs=5, note=EVIL))
    assert answer.status_code == 303
    assert "<img" not in client.get("/nests/box-1").text


def _alarm(*, text: str = "Shed 4.2°", rule: str = "cold") -> Alarm:
    return Alarm(
        id="a1",
        rule=rule,
        place="shed",
        priority=Priority.HIGH,
        state=AlarmState.UNACKNOWLEDGED,
        raised_at=NOW - timedelta(minutes=30),
        value=4.2,
        setpoint=5.0,
        text=text,
    )


def test_to_acknowledge_is_asked_of_watch_and_said_so(shed: FilledShed, client: TestClient) -> None:
    shed.records.alarms.put([_alarm()])
    assert "I have seen it" in client.get("/alarms").text
    assert client.post("/alarms/a1/acknowledge").status_code == 303
    pending = shed.records.requests.pending()
    assert [(one.kind, one.subject) for one in pending] == [(RequestKind.ACKNOWLEDGE, "a1")]
    assert shed.records.alarms.open_alarms()[0].state is AlarmState.UNACKNOWLEDGED
    text = client.get("/alarms").text
    assert "I have seen it" not in text
    assert "Asked" in text


def test_to_acknowledge_twice_asks_once(shed: FilledShed, client: TestClient) -> None:
    shed.records.alarms.put([_alarm()])
    for _ in range(2):
        client.post("/alarms/a1/acknowledge")
    assert len(shed.records.requests.pending()) == 1


def test_an_alarm_that_is_not_open_cannot_be_acknowledged(client: TestClient) -> None:
    assert client.post("/alarms/nope/acknowledge").status_code == 404


def test_an_alarm_stands_on_the_wall(shed: FilledShed, client: TestClient) -> None:
    shed.records.alarms.put([_alarm()])
    assert "Too cold" in client.get("/wall/picture").text


def _look(**fields: object) -> dict[str, str]:
    told = {"form_id": str(uuid4()), "eggs": 5, "chicks": 0, "hen": "sitting", **fields}
    return {name: str(value) for name, value in told.items()}


def test_a_form_that_is_sent_twice_is_one_check(shed: FilledShed, client: TestClient) -> None:
    form = _look(eggs=5)
    before = len(shed.records.nest_book.nest("box-1").checks)
    first = client.post("/nests/box-1/check", data=form)
    second = client.post("/nests/box-1/check", data=form)
    assert first.status_code == second.status_code == 303
    assert len(shed.records.nest_book.nest("box-1").checks) == before + 1
    assert "Saved" in client.get(first.headers["location"]).text


def test_a_form_that_says_something_else_the_second_time_is_told_so(client: TestClient) -> None:
    form = _look(eggs=5)
    client.post("/nests/box-1/check", data=form)
    second = client.post("/nests/box-1/check", data={**form, "note": "later"})
    assert "differs=yes" in second.headers["location"]
    assert "What was saved first stands" in client.get(second.headers["location"]).text


def test_a_falling_count_is_asked_about_and_answered_under_the_same_form(
    shed: FilledShed, client: TestClient
) -> None:
    form = _look(eggs=4)
    before = len(shed.records.nest_book.nest("box-1").checks)
    asked = client.post("/nests/box-1/check", data=form)
    assert asked.status_code == 422
    assert "Not saved yet" in asked.text
    assert form["form_id"] in asked.text
    assert len(shed.records.nest_book.nest("box-1").checks) == before
    answered = client.post(
        "/nests/box-1/check", data={**form, "egg.2.fate": "broken", "counted": "yes"}
    )
    assert answered.status_code == 303
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    assert [egg.fate for egg in clutch.eggs if egg.number == 2] == ["broken"]


def test_counts_that_were_left_follow_from_what_is_named(
    shed: FilledShed, client: TestClient
) -> None:
    form = _look(eggs=5, eggs_before=5, chicks_before=0, **{"egg.3.fate": "broken"})
    assert client.post("/nests/box-1/check", data=form).status_code == 303
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    assert len(clutch.eggs) == 5
    assert shed.records.nest_book.nest("box-1").checks[-1].eggs == 4


@pytest.mark.parametrize(
    "wrong",
    [
        {"eggs": "-1"},
        {"eggs": "31"},
        {"eggs": "five"},
        {"eggs": ""},
        {"form_id": "nonsense"},
        {"hen": "flying"},
        {"at": "yesterday"},
        {"egg.99.fate": "broken"},
        {"egg.1.fate": "eaten"},
        {"note": "x" * 2001},
        {"chick.1.ring": "x" * 41},
    ],
    ids=str,
)
def test_a_form_that_is_wrong_comes_back_and_nothing_is_stored(
    shed: FilledShed, client: TestClient, wrong: dict[str, str]
) -> None:
    before = shed.records.nest_book.nest("box-1").checks
    answer = client.post("/nests/box-1/check", data={**_look(), **wrong})
    assert answer.status_code == 422
    assert "Not saved" in answer.text
    assert shed.records.nest_book.nest("box-1").checks == before


def test_each_form_is_served_with_a_number_of_its_own(client: TestClient) -> None:
    first, second = (client.get("/nests/box-1/check").text for _ in range(2))
    assert first != second


def test_the_day_she_began_to_sit_moves_the_due_dates(client: TestClient) -> None:
    before = client.get("/api/nests").json()[0]["next"]
    day = local_day(NOW - timedelta(days=4), ZONE).isoformat()
    assert client.post("/nests/box-1/sitting", data={"day": day}).status_code == 303
    after = client.get("/api/nests").json()[0]["next"]
    assert before != after
    assert "As you said" in client.get("/nests/box-1").text
    client.post("/nests/box-1/sitting", data={"forget": "yes"})
    assert client.get("/api/nests").json()[0]["next"] == before


@pytest.mark.parametrize("day", ["", "soon", "2026-04-30", "2025-04-30", "2026-02-31"])
def test_a_day_on_which_she_cannot_have_begun_is_refused(client: TestClient, day: str) -> None:
    assert client.post("/nests/box-1/sitting", data={"day": day}).status_code == 422


def test_a_card_says_what_the_box_holds_and_when_it_was_printed(client: TestClient) -> None:
    text = client.get("/nests/box-1/card").text
    assert text.count("<svg") == 5
    assert "as of 21 April 2026, 14:30" in text
    assert "C1" in text
    assert "H1" in text
    assert "hours measured" in text
    assert not any(word in text for word in ("today", "tomorrow", "yesterday"))


def test_a_card_of_a_box_that_nobody_has_is_not_known(client: TestClient) -> None:
    assert client.get("/nests/box-99/card").status_code == 404


def test_whose_air_it_is_is_said(client: TestClient) -> None:
    assert "The air is that of Hazel shed" in client.get("/nests/box-1").text
    assert "The air is that of Box 2" in client.get("/nests/box-2").text


def test_spans_can_be_edited_and_say_who_set_them(shed: FilledShed, client: TestClient) -> None:
    form = {"hatch_after_sitting.least": "17,5", "hatch_after_sitting.most": "21"}
    assert client.post("/setup/species", data=form).status_code == 303
    span = shed.records.nest_book.species().hatch_after_sitting
    assert (span.least, span.most, span.source) == (17.5, 21.0, "set by you")


def test_of_two_who_edit_the_spans_the_second_puts_nothing_back_unknowing(
    shed: FilledShed, client: TestClient
) -> None:
    (form,) = [one for one in forms_in(client.get("/setup/species").text) if "spans" in one.css]
    first = form.fields | {"hatch_after_sitting.most": "23"}
    assert client.post("/setup/species", data=first).status_code == 303
    answer = client.post("/setup/species", data=form.fields | {"ring_after_hatch.least": "6"})
    assert answer.status_code == 422
    assert "Somebody else has changed this since you opened it" in answer.text
    assert "From sitting to hatching: now 17 to 23 days (set by you)." in answer.text
    species = shed.records.nest_book.species()
    assert species.hatch_after_sitting.most == 23
    assert species.ring_after_hatch == SpeciesSettings().ring_after_hatch


@pytest.mark.parametrize(
    "form",
    [
        {"hatch_after_sitting.least": "21", "hatch_after_sitting.most": "17"},
        {"hatch_after_sitting.least": "x", "hatch_after_sitting.most": "17"},
        {"hatch_after_sitting.least": "nan", "hatch_after_sitting.most": "17"},
        {"hatch_after_sitting.least": "1", "hatch_after_sitting.most": "1e9"},
        {"eggs_before_sitting.least": "0"},
        {"eggs_before_sitting.most": "two"},
    ],
    ids=str,
)
def test_spans_that_cannot_be_are_refused(
    shed: FilledShed, client: TestClient, form: dict[str, str]
) -> None:
    before = shed.records.nest_book.species()
    assert client.post("/setup/species", data=form).status_code == 422
    assert shed.records.nest_book.species() == before


def test_days_that_cannot_be_come_back_as_typed_with_every_fault(client: TestClient) -> None:
    form = {"hatch_after_sitting.least": "soon", "ring_after_hatch.most": "1"}
    answer = client.post("/setup/species", data=form)
    assert answer.status_code == 422
    assert "From sitting to hatching: &#39;soon&#39; is no number of days" in answer.text
    assert "From hatching to the ring: 7 to 1 ends before it begins" in answer.text
    assert 'value="soon"' in answer.text


def test_all_days_can_be_taken_as_they_were_built_in(shed: FilledShed, client: TestClient) -> None:
    form = {"hatch_after_sitting.most": "22", "hatch_after_sitting.source": "our own book"}
    assert client.post("/setup/species", data=form).status_code == 303
    assert "our own book" in client.get("/setup").text
    assert client.post("/setup/species", data={"go": "built in"}).status_code == 303
    assert shed.records.nest_book.species() == SpeciesSettings()


def test_health_is_ok_while_watch_beats_and_not_without(shed: FilledShed) -> None:
    assert client_of(shed).get("/health").status_code == 200
    shed.heartbeat = lambda: None
    answer = client_of(shed).get("/health")
    assert answer.status_code == 503
    assert answer.json()["parts"]["listener"] is False


def test_a_dead_watch_is_said_on_every_page(shed: FilledShed) -> None:
    shed.heartbeat = lambda: None
    client = client_of(shed)
    assert "NOT LIVE" in client.get("/wall/picture").text
    for path in ("/", "/nests", "/alarms", "/sensors"):
        text = client.get(path).text
        assert 'class="dead"' in text
        assert "All well" not in text


@pytest.mark.parametrize(
    "path", ["/api/latest", "/api/nights", "/api/nests/box-1/air", "/api/alarms"]
)
def test_json_holds_only_what_json_can_hold(client: TestClient, path: str) -> None:
    told = json.loads(client.get(path).text, parse_constant=_refuse)
    assert told is not None


def _refuse(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


def test_a_time_without_an_offset_is_refused(client: TestClient) -> None:
    assert client.get("/api/readings?from=2026-04-21T00:00:00").status_code == 422


@pytest.mark.parametrize("path", ["/api/nights", "/api/light", "/api/readings"])
@pytest.mark.parametrize("bound", ["to=0001-01-01T00:00:00Z", "from=9999-12-31T23:59:59-14:00"])
def test_a_time_that_nothing_can_be_reckoned_from_is_refused(
    client: TestClient, path: str, bound: str
) -> None:
    assert client.get(f"{path}?{bound}").status_code == 422


@pytest.mark.parametrize("row", [2**63, 10**30])
def test_a_number_longer_than_any_row_has_is_no_address(client: TestClient, row: int) -> None:
    for path in (f"/air/clocks/treated/{row}/undo", f"/today/low/{row}/strike"):
        assert client.post(path).status_code == 422
    assert client.get(f"/setup/duties/{row}").status_code == 422


def test_the_licence_of_the_letters_can_be_read(client: TestClient) -> None:
    assert "SIL OPEN FONT LICENSE" in client.get("/fonts/licence.txt").text.upper()


def test_a_fault_of_ours_is_a_page_in_words(
    shed: FilledShed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail() -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(shed.records.nest_book, "nests", fail)
    client = TestClient(
        create_app(shed.services()),
        base_url="http://testserver",
        raise_server_exceptions=False,
        client=("127.0.0.1", 50000),
    )
    answer = client.get("/nests")
    assert answer.status_code == 500
    assert "default-src 'self'" in answer.headers["content-security-policy"]
    assert "This page failed" in answer.text
    assert "broken on purpose" not in answer.text


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/nothing", 404),
        ("GET", "/setup/places/..%2f..%2fx", 404),
        ("GET", "/sensors/ignore", 405),
    ],
)
def test_an_address_of_no_page_is_told_in_a_sentence(
    client: TestClient, method: str, path: str, status: int
) -> None:
    answer = client.request(method, path, headers={"accept": "text/html,*/*;q=0.8"})
    assert answer.status_code == status
    assert answer.headers["content-type"].startswith("text/html")
    assert "detail" not in answer.text


def test_scripts_are_told_in_json_what_is_not_there(client: TestClient) -> None:
    assert client.get("/api/nothing", headers={"accept": "text/html"}).json()["detail"]
    assert client.get("/nothing", headers={"accept": "application/json"}).json()["detail"]


def test_spans_that_were_changed_stand_among_the_changes(
    shed: FilledShed, client: TestClient
) -> None:
    form = {"hatch_after_sitting.least": "17", "hatch_after_sitting.most": "22"}
    assert client.post("/setup/species", data=form).status_code == 303
    (change,) = shed.records.changes.changes()
    assert "from sitting to hatching" in change.what
    assert "17 to 22 days" in (change.after or "")
    assert client.post("/setup/species", data=form).status_code == 303
    assert len(shed.records.changes.changes()) == 1
