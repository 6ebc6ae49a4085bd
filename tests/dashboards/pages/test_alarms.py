"""The alarms' pages over real stores; watch is played by the real path."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.access import Least, least_for
from service.alarm_path import AlarmPath, Raised
from service.alarm_requests import carry_out
from service.people.role import Role
from service.rules.limit import Priority
from service.store.alarm_store import RequestKind
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed
from tests.dashboards.house import browser, person, sign_in
from tests.dashboards.page_forms import PageForm, forms_in

COLD = Raised(
    rule="cold",
    place="shed",
    priority=Priority.HIGH,
    at=NOW - timedelta(minutes=30),
    value=4.2,
    setpoint=5.0,
    text="Shed 4.2°, under 5° since 14:00.",
)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    """Nothing was measured and nothing bred: alarms are all that it has."""
    empty = open_shed(tmp_path)
    yield empty
    empty.close()


def watch(shed: FilledShed) -> AlarmPath:
    """The open alarms as watch holds them."""
    return AlarmPath(shed.records.alarms)


def raised(shed: FilledShed, *found: Raised) -> None:
    path = watch(shed)
    for one in found:
        path.raise_(one)
    path.save()


def carried_out(shed: FilledShed) -> list[str]:
    """Watch does what was asked; what came of each, in words."""
    path, told = watch(shed), []
    for request in shed.records.requests.pending():
        told.append(carry_out(path, request, NOW))
        shed.records.requests.settle(request.id, at=NOW, outcome=told[-1])
    return told


def shelf_of(client: TestClient) -> PageForm:
    forms = forms_in(client.get("/alarms").text)
    return next(form for form in forms if form.action == "/alarms/shelve")


def test_one_tap_shelves_with_reason_and_end_and_another_takes_it_back(
    shed: FilledShed, client: TestClient
) -> None:
    raised(shed, COLD)
    form = shelf_of(client)
    answer = client.post(form.action, data=form.fields | {"tap": "at-it"})
    assert answer.status_code == 303
    assert "Asked." in client.get(answer.headers["location"]).text
    assert carried_out(shed) == ["done"]
    (shelf,) = shed.records.alarms.suppressions()
    assert (shelf.rule, shelf.reason) == ("cold", "I am at it")
    assert shelf.until == NOW + timedelta(hours=1)
    text = client.get("/alarms").text
    assert "Nobody is told of these" in text
    assert "Until it is over, 15:30 at the latest." in text
    assert "I have seen it" not in text
    assert client.post("/alarms/unshelve", data={"rule": "cold"}).status_code == 303
    assert carried_out(shed) == ["done"]
    assert shed.records.alarms.suppressions() == []
    assert "I have seen it" in client.get("/alarms").text
    journal = client.get("/alarms/journal").text
    for told in ("Came.", "Shelved.", "Off the shelf."):
        assert told in journal


def test_what_is_out_of_service_goes_back_from_the_same_page(
    shed: FilledShed, client: TestClient
) -> None:
    raised(shed, COLD)
    shed.records.requests.ask(
        RequestKind.OUT_OF_SERVICE, "cold", by="Mara", at=NOW, body='{"reason": "new roof"}'
    )
    assert carried_out(shed) == ["done"]
    text = client.get("/alarms").text
    assert "Out of service 14:30 by Mara: new roof" in text
    client.post("/alarms/unshelve", data={"rule": "cold"})
    (request,) = shed.records.requests.pending()
    assert request.kind is RequestKind.INTO_SERVICE


def test_a_shelf_without_a_reason_is_refused_on_the_page(
    shed: FilledShed, client: TestClient
) -> None:
    raised(shed, COLD)
    answer = client.post("/alarms/shelve", data={"rule": "cold", "tap": "own", "for": "3600"})
    assert answer.status_code == 422
    assert "a reason is missing" in answer.text
    assert shed.records.requests.pending() == []


def test_enter_in_the_field_for_a_reason_sends_that_reason(
    shed: FilledShed, client: TestClient
) -> None:
    """A browser sends the first button of the form: there must be no other in it."""
    raised(shed, COLD)
    forms = forms_in(client.get("/alarms").text)
    own = next(form for form in forms if "reason" in form.fields)
    assert own.unticked == {"tap": "own"}
    told = own.fields | own.unticked | {"reason": "new roof"}
    assert client.post(own.action, data=told).status_code == 303
    assert carried_out(shed) == ["done"]
    assert shed.records.alarms.suppressions()[0].reason == "new roof"


@pytest.mark.parametrize("address", ["/alarms/shelve", "/alarms/unshelve"])
def test_what_is_over_or_unknown_is_not_asked_for(
    shed: FilledShed, client: TestClient, address: str
) -> None:
    assert client.post(address, data={"rule": "cold", "tap": "at-it"}).status_code == 404
    assert shed.records.requests.pending() == []


def test_to_shelve_twice_asks_once(shed: FilledShed, client: TestClient) -> None:
    raised(shed, COLD)
    for _ in range(2):
        client.post("/alarms/shelve", data={"rule": "cold", "tap": "at-it"})
    assert len(shed.records.requests.pending()) == 1


def test_what_watch_refused_is_told(shed: FilledShed, client: TestClient) -> None:
    raised(shed, COLD)
    asked = client.post("/alarms/shelve", data={"rule": "cold", "tap": "at-it"}).headers["location"]
    (request,) = shed.records.requests.pending()
    shed.records.requests.settle(request.id, at=NOW, outcome="there is no rule cold")
    assert "there is no rule cold" in client.get(asked).text


def test_a_latched_alarm_is_let_go(shed: FilledShed, client: TestClient) -> None:
    raised(shed, replace(COLD, latching=True))
    path = watch(shed)
    path.clear("cold", NOW)
    path.save()
    (alarm,) = shed.records.alarms.open_alarms()
    assert "Let it go" in client.get("/alarms").text
    client.post(f"/alarms/{alarm.id}/reset")
    client.post(f"/alarms/{alarm.id}/acknowledge")
    assert carried_out(shed) == ["done", "done"]
    assert shed.records.alarms.open_alarms() == []


def test_a_box_that_is_cold_with_its_shed_is_listed_as_hidden(
    shed: FilledShed, client: TestClient
) -> None:
    path = AlarmPath(shed.records.alarms, around={"box-2": "cage-2", "cage-2": "shed"})
    path.raise_(replace(COLD, kind="temperature low"))
    box = replace(COLD, rule="cold-2", place="box-2", kind="temperature low", text="Box 2 4.4°.")
    path.raise_(box)
    path.save()
    text = client.get("/alarms").text
    assert "Hidden, for something else is told" in text
    assert text.count("I have seen it") == 1


def test_the_journal_turns_its_pages_and_refuses_what_is_no_day(client: TestClient) -> None:
    older = client.get("/alarms/journal?until=2026-04-10")
    assert "4 April to 10 April 2026" in older.text
    assert "After that" in older.text
    assert "After that" not in client.get("/alarms/journal?until=2099-01-01").text
    assert client.get("/alarms/journal?until=yesterday").status_code == 422


def test_every_rule_and_why_is_a_page(client: TestClient) -> None:
    text = client.get("/alarms/why").text
    assert "Too cold" in text
    assert "A sensor is silent" in text


def test_a_helper_is_shown_what_to_do_and_no_shelf(shed: FilledShed) -> None:
    raised(shed, COLD)
    helper = person(shed, "Jo", Role.HELPER)
    person(shed, "Mara", Role.KEEPER)
    text = sign_in(browser(shed), shed, helper).get("/alarms").text
    assert "I have seen it" in text
    assert "Within an hour" in text
    assert "/alarms/shelve" not in text
    assert "/setup/limits" not in text


def test_a_helper_sees_and_acknowledges_and_only_the_keeper_shelves() -> None:
    for page in ("/alarms", "/alarms/journal", "/alarms/why"):
        assert least_for("GET", page) is Least.HELPER
    assert least_for("POST", "/alarms/a1/acknowledge") is Least.HELPER
    for act in ("/alarms/shelve", "/alarms/unshelve", "/alarms/a1/reset"):
        assert least_for("POST", act) is Least.KEEPER
