"""A calendar reads what is due at a secret address, until the address is taken back."""

import re
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from icalendar import Calendar

from service.clock import FixedClock
from service.people.digest import digest_of
from service.people.role import Role
from service.store.people_store import Person
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed
from tests.dashboards.house import browser, people_of, sign_in


@pytest.fixture
def house(shed: FilledShed) -> tuple[Person, Person]:
    return people_of(shed)


@pytest.fixture
def keeper(shed: FilledShed, house: tuple[Person, Person]) -> TestClient:
    return sign_in(browser(shed), shed, house[0])


def address_of(keeper: TestClient, name: str = "phone of Mara") -> str:
    """Make an address, and return the path that is shown."""
    answer = keeper.post("/setup/calendars", data={"name": name})
    assert answer.status_code == 200, answer.text
    shown = re.search(r'class="exact">([^<]+\.ics)<', answer.text)
    assert shown is not None
    return urlsplit(shown.group(1)).path


def events_at(client: TestClient, path: str) -> dict[str, dict[str, str]]:
    """Summary, days and sequence of each event, by UID."""
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    return {
        str(event["uid"]): {
            "summary": str(event["summary"]),
            "first": str(event.decoded("dtstart")),
            "sequence": str(event["sequence"]),
            "modified": str(event.decoded("last-modified")),
        }
        for event in Calendar.from_ical(answer.content).walk("VEVENT")
    }


def test_an_address_is_shown_once_and_only_its_digest_is_kept(
    shed: FilledShed, keeper: TestClient
) -> None:
    path = address_of(keeper)
    token = path.removeprefix("/calendar/").removesuffix(".ics")
    assert len(token) == 43
    assert token not in keeper.get("/setup/calendars").text
    (kept,) = shed.records.calendars.all()
    assert kept.digest == digest_of(token)
    assert kept.made_by == "Mara"
    assert shed.records.changes.changes()[0].what == (
        "The calendar phone of Mara may read what is due"
    )


def test_whoever_has_the_address_reads_what_is_due_without_signing_in(
    shed: FilledShed, keeper: TestClient
) -> None:
    told = events_at(browser(shed), address_of(keeper))
    summaries = [event["summary"] for event in told.values()]
    assert "Box 1: egg 1, hatch" in summaries
    assert "Box 2: egg 2 to be laid" in summaries
    assert len(told) == len(summaries) > 10
    assert "last read 14:30" in keeper.get("/setup/calendars").text


def test_an_event_that_moves_keeps_its_uid_and_says_that_it_moved(
    shed: FilledShed, keeper: TestClient
) -> None:
    path, phone = address_of(keeper), browser(shed)
    before = events_at(phone, path)
    assert events_at(phone, path) == before
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    assert isinstance(shed.clock, FixedClock)
    shed.clock.advance(timedelta(minutes=5))
    sat = clutch.eggs[3].laid_to
    shed.records.nest_book.set_sitting_from(clutch.id, sat, by="Mara", now=shed.clock.now())
    after = events_at(phone, path)
    assert after.keys() == before.keys()
    moved = {uid for uid in after if after[uid]["first"] != before[uid]["first"]}
    assert {after[uid]["summary"] for uid in moved} >= {"Box 1: egg 1, hatch", "Box 1: candle"}
    for uid in after:
        changed = after[uid]["sequence"] != before[uid]["sequence"]
        assert changed or uid not in moved
        assert (after[uid]["modified"] > before[uid]["modified"]) or not changed
    other = [uid for uid in after if after[uid]["summary"].startswith("Box 2")]
    assert other
    assert all(after[uid] == before[uid] for uid in other)


def test_an_egg_that_is_moved_keeps_its_uid_in_the_other_box(
    shed: FilledShed, keeper: TestClient
) -> None:
    path, phone = address_of(keeper), browser(shed)
    before = events_at(phone, path)
    (uid,) = [one for one in before if before[one]["summary"] == "Box 1: egg 5, hatch"]
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    now = shed.clock.now()
    shed.records.nest_book.move(
        [(clutch.eggs[4].id, "box-1")], to_box="box-2", at=now, why="many", by="Mara", now=now
    )
    after = events_at(phone, path)
    assert after[uid]["summary"] == "Box 2: egg 5 of Box 1, hatch"


def test_two_calendars_have_uids_of_their_own(keeper: TestClient) -> None:
    one, other = (events_at(keeper, address_of(keeper, name)) for name in ("phone", "desk"))
    assert not one.keys() & other.keys()


def test_an_address_taken_back_tells_nothing(shed: FilledShed, keeper: TestClient) -> None:
    path = address_of(keeper)
    (made,) = shed.records.calendars.all()
    assert keeper.post(f"/setup/calendars/{made.id}/revoke").status_code == 303
    assert keeper.post(f"/setup/calendars/{made.id}/revoke").status_code == 303
    answer = browser(shed).get(path)
    assert answer.status_code == 404
    assert b"VCALENDAR" not in answer.content
    whats = [change.what for change in shed.records.changes.changes()]
    assert whats.count("The calendar phone of Mara may read what is due no more") == 1


@pytest.mark.parametrize("token", ["x", "a" * 43, "%00", "é"])
def test_a_guessed_address_tells_nothing(shed: FilledShed, keeper: TestClient, token: str) -> None:
    address_of(keeper)
    answer = browser(shed).get(f"/calendar/{token}.ics")
    assert answer.status_code == 404
    assert b"VCALENDAR" not in answer.content


@pytest.mark.parametrize("name", ["", " ", "x" * 41])
def test_a_calendar_without_a_name_is_not_made(
    shed: FilledShed, keeper: TestClient, name: str
) -> None:
    assert keeper.post("/setup/calendars", data={"name": name}).status_code == 422
    assert shed.records.calendars.all() == []


def test_an_address_is_made_with_a_fresh_password_alone(
    shed: FilledShed, keeper: TestClient
) -> None:
    assert isinstance(shed.clock, FixedClock)
    shed.clock.advance(timedelta(minutes=20))
    assert keeper.post("/setup/calendars", data={"name": "phone"}).status_code != 200
    assert shed.records.calendars.all() == []


def test_a_helper_makes_no_address(shed: FilledShed, house: tuple[Person, Person]) -> None:
    assert house[1].role is Role.HELPER
    client = sign_in(browser(shed), shed, house[1])
    assert client.post("/setup/calendars", data={"name": "phone"}).status_code == 403
    assert shed.records.calendars.all() == []
