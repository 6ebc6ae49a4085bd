"""The nest check form: what it offers, what it foresees, and what it stores."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import Candling, ChickFate, ChickGone, ChickRinged, NestCheck
from service.people.role import Role
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed
from tests.dashboards.house import browser, person, sign_in

HIDDEN = re.compile(r'<input type="hidden" name="([^"]+)" value="([^"]*)"')


def opened(client: TestClient, box: int = 1, query: str = "") -> dict[str, str]:
    """The fields of an open form, as a browser would send them with nothing touched."""
    text = client.get(f"/nests/box-{box}/check{query}").text
    found = dict(HIDDEN.findall(text))
    for name in ("eggs", "chicks"):
        told = re.search(rf'<input id="{name}"[^>]* value="(\d+)"', text)
        assert told is not None
        found[name] = told[1]
    at = re.search(r'name="at" value="([^"]*)"', text)
    assert at is not None
    return {**found, "at": at[1], "hen": "sitting"}


def send(client: TestClient, form: dict[str, str], box: int = 1) -> str:
    answer = client.post(f"/nests/box-{box}/check", data=form)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def newest(shed: FilledShed, box: int = 1) -> NestCheck:
    return shed.records.nest_book.nest(f"box-{box}").checks[-1]


def looked(shed: FilledShed, days_ago: float, eggs: int, chicks: int, **more: object) -> None:
    """Of box 3, by the walk of a nest check."""
    at = NOW - timedelta(days=days_ago)
    check = NestCheck(form_id=uuid4(), box="box-3", at=at, eggs=eggs, chicks=chicks, **more)  # type: ignore[arg-type]
    path = NestCheckPath(shed.records.nest_book, FixedClock(at), lambda: ZONE)
    assert isinstance(path.record(check), Recorded)


def foreseen(client: TestClient, form: dict[str, str], box: int = 1) -> dict[str, object]:
    answer = client.post(f"/nests/box-{box}/check/preview", data=form)
    assert answer.status_code == 200
    told: dict[str, object] = answer.json()
    return told


def test_form_offers_the_egg_that_is_due_with_its_number(client: TestClient) -> None:
    # Box 2: one egg, found 1.4 days ago.
    text = client.get("/nests/box-2/check").text
    assert 'name="tap.egg.2"' in text
    assert "To be expected today" in text


def test_tap_without_a_script_is_counted_by_the_server(
    shed: FilledShed, client: TestClient
) -> None:
    send(client, {**opened(client, 2), "tap.egg.2": "yes"}, 2)
    assert newest(shed, 2).eggs == 2
    clutch = shed.records.nest_book.nest("box-2").clutch
    assert clutch is not None
    assert len(clutch.eggs) == 2


def test_candling_of_all_is_one_tap_and_of_one_another(
    shed: FilledShed, client: TestClient
) -> None:
    text = client.get("/nests/box-1/check").text
    listed = re.search(r'name="tap.candle" value="([^"]*)"', text)
    assert listed is not None
    assert listed[1] == "egg.1,egg.2,egg.3,egg.4,egg.5"
    form = {**opened(client), "tap.candle": listed[1], "egg.4.candled": "clear"}
    send(client, form)
    told = {one.number: one.result for one in newest(shed).candled}
    assert told == {
        **dict.fromkeys((1, 2, 3, 5), Candling.FERTILE),
        4: Candling.CLEAR,
    }


def test_ring_of_the_row_is_filled_in_and_worn_ones_are_passed_over(
    shed: FilledShed, client: TestClient
) -> None:
    shed.put_up_pair(3, ring="HZ-26-022")  # a cock CHZ-26-022, a hen HHZ-26-022
    looked(shed, 30, 0, 0)
    looked(shed, 28, 1, 0)
    looked(shed, 26, 2, 0)
    looked(shed, 9, 1, 1, hatched=(1,))
    looked(shed, 8, 0, 2, hatched=(2,))
    looked(shed, 1, 0, 2, ringed=(ChickRinged(egg_number=1, ring="HHZ-26-021"),))
    text = client.get("/nests/box-3/check").text
    assert re.search(r'name="ring.chick.2" value="HHZ-26-023"', text)
    form = {**opened(client, 3), "tap.ring.chick.2": "yes", "ring.chick.2": "HHZ-26-023"}
    send(client, form, 3)
    assert newest(shed, 3).ringed == (ChickRinged(egg_number=2, ring="HHZ-26-023"),)


def test_youngster_that_feeds_itself_was_not_in_the_box_any_more(
    shed: FilledShed, client: TestClient
) -> None:
    shed.put_up_pair(3, ring="3")
    looked(shed, 90, 0, 0)
    looked(shed, 88, 1, 0)
    looked(shed, 87, 2, 0)
    looked(shed, 69, 1, 1, hatched=(1,))
    looked(shed, 68, 0, 2, hatched=(2,))
    looked(shed, 34, 0, 1, gone=(ChickGone(egg_number=1, fate=ChickFate.FLEDGED),))
    form = opened(client, 3)
    assert (form["eggs"], form["chicks"]) == ("0", "1")
    send(client, {**form, "tap.weaned.chick.1": "yes"}, 3)
    assert newest(shed, 3).chicks == 1
    assert newest(shed, 3).gone == (ChickGone(egg_number=1, fate=ChickFate.WEANED),)


def test_preview_says_what_will_be_written_and_stores_nothing(
    shed: FilledShed, client: TestClient
) -> None:
    before = len(shed.records.nest_book.nest("box-2").checks)
    told = foreseen(client, {**opened(client, 2), "tap.egg.2": "yes", "note": "warm"}, 2)
    assert told["news"] == ["egg 2 found", "a note"]
    assert told["there"] == "2 eggs, hen sitting"
    assert (told["asks"], told["saved"]) == ([], False)
    assert len(shed.records.nest_book.nest("box-2").checks) == before


def test_preview_and_the_store_tell_the_same_changes(shed: FilledShed, client: TestClient) -> None:
    form = {**opened(client), "egg.3.fate": "broken", "egg.2.candled": "fertile"}
    told = foreseen(client, form)
    send(client, form)
    assert told["news"] == list(shed.records.nest_book.changes(form["form_id"]))


def test_preview_says_what_will_be_asked_and_what_is_wrong(client: TestClient) -> None:
    fewer = {**opened(client), "eggs": "4", "counted": "yes"}
    assert "What became of the other?" in str(foreseen(client, fewer)["asks"])
    both = {**opened(client), "tap.hatched.egg.1": "yes", "egg.1.fate": "broken"}
    assert "are told" in str(foreseen(client, both)["asks"])


def test_preview_of_a_form_that_is_stored_says_so(client: TestClient) -> None:
    form = opened(client)
    send(client, form)
    assert foreseen(client, form)["saved"] is True


def test_helper_may_foresee_and_a_stranger_may_not(shed: FilledShed) -> None:
    person(shed, "Mara", Role.KEEPER)
    jo = person(shed, "Jo", Role.HELPER)
    helper = sign_in(browser(shed), shed, jo)
    form = {"form_id": str(uuid4()), "eggs": "5", "chicks": "0"}
    assert helper.post("/nests/box-1/check/preview", data=form).status_code == 200
    assert browser(shed).post("/nests/box-1/check/preview", data=form).status_code in (401, 403)


def test_form_of_todays_list_leads_back_to_the_cage(client: TestClient) -> None:
    form = opened(client, query="?from=today")
    assert send(client, form) == f"/today?saved={form['form_id']}&box=box-1#cage-1"


@pytest.mark.parametrize("word", ["https://elsewhere.example", "//elsewhere", "start"])
def test_form_leads_back_nowhere_else(client: TestClient, word: str) -> None:
    form = {**opened(client, query=f"?from={word}"), "back": word}
    assert send(client, form) == f"/nests/box-1?saved={form['form_id']}"


def test_time_that_was_left_is_when_it_was_pressed(shed: FilledShed, client: TestClient) -> None:
    form = opened(client)
    assert isinstance(shed.clock, FixedClock)
    shed.clock.advance(timedelta(minutes=50))
    send(client, {**form, "ago_s": "1200.5"})
    assert newest(shed).at == NOW + timedelta(minutes=50) - timedelta(seconds=1200.5)


def test_time_that_was_written_holds(shed: FilledShed, client: TestClient) -> None:
    send(client, {**opened(client), "at": "2026-04-21T13:05", "ago_s": "99"})
    assert newest(shed).at.astimezone(ZONE).strftime("%H:%M") == "13:05"


def test_answer_to_a_question_keeps_when_the_look_was_made(
    shed: FilledShed, client: TestClient
) -> None:
    assert isinstance(shed.clock, FixedClock)
    form = {**opened(client), "eggs": "4", "counted": "yes", "ago_s": "60"}
    asked = client.post("/nests/box-1/check", data=form)
    assert asked.status_code == 422
    again = dict(HIDDEN.findall(asked.text))
    shed.clock.advance(timedelta(minutes=9))
    send(client, {**form, **again, "egg.2.fate": "broken", "ago_s": "1"})
    assert newest(shed).at == NOW - timedelta(seconds=60)


def test_stale_page_is_told_what_was_done_and_keeps_what_it_told(
    shed: FilledShed, client: TestClient
) -> None:
    stale, first = opened(client, 2), opened(client, 2)
    send(client, {**first, "tap.egg.2": "yes"}, 2)
    before = len(shed.records.nest_book.nest("box-2").checks)
    mine = {**stale, "egg.1.candled": "fertile", "note": "hen thin"}
    asked = client.post("/nests/box-2/check", data=mine)
    assert asked.status_code == 422
    assert "Since this page was opened" in asked.text
    assert "21 April 14:30: egg 2 found" in asked.text
    assert "hen thin" in asked.text
    assert len(shed.records.nest_book.nest("box-2").checks) == before
    again = dict(HIDDEN.findall(asked.text))
    eggs = re.search(r'<input id="eggs"[^>]* value="(\d+)"', asked.text)
    assert eggs is not None
    assert eggs[1] == "2"
    send(client, {**mine, **again, "eggs": "2"}, 2)
    clutch = shed.records.nest_book.nest("box-2").clutch
    assert clutch is not None
    assert [egg.candling for egg in clutch.eggs] == [Candling.FERTILE, None]
    assert newest(shed, 2).note == "hen thin"


def test_page_that_was_stale_and_told_nothing_else_is_not_asked_after_a_plain_look(
    client: TestClient,
) -> None:
    stale, first = opened(client), opened(client)
    send(client, first)
    send(client, stale)
