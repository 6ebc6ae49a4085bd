"""Limits and rules set on pages, over real stores, with readings of the last days behind them."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.shelf_wish import wish_from
from service.quality.flag import Flag, Judged
from service.rules.limit import Priority
from service.rules.settables import SETTABLES
from service.settings import edits
from service.store.alarm_store import RequestKind
from service.store.reading_store import Batch
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

STEP = timedelta(minutes=10)
COLD = "/setup/limits/shed-cold"
TYPED = {
    "setpoint": "7",
    "deadband": "0,5",
    "on_min": "30",
    "off_min": "15",
    "when": "always",
    "during": "always",
    "priority": "high",
    "stays": "no",
}
NEW = {"place": "shed", "quantity": "temperature", "side": "high"}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    """Two days: 9 °C, and 6 °C from midnight to six by UTC."""
    opened = open_kept_shed(tmp_path)
    editor = opened.services().editor
    editor.change(edits.adopt(device="th-1", place="shed", interval=STEP), by=None, at=NOW)
    judged = [
        Judged(
            reading=Reading(
                device="th-1",
                place="shed",
                quantity=Quantity.TEMPERATURE,
                value=6.0 if at.hour < 6 else 9.0,
                measured_at=at,
                received_at=at,
            ),
            flag=Flag.PASS,
        )
        for at in (NOW - nth * STEP for nth in range(2 * 24 * 6))
    ]
    opened.stores.readings.commit(Batch(judged=judged))
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def hidden(page: str) -> dict[str, str]:
    """The marks that a page gives to be sent back with its form."""
    return {
        name: str(re.findall(rf'name="{name}" value="([^"]*)"', page)[0])
        for name in ("shown", "as_shown")
    }


def cold(shed: KeptShed) -> float | None:
    return next(one.low for one in shed.settings().limits if one.id == "shed-cold")


def test_how_often_it_would_have_spoken_is_shown_before_it_is_kept(
    shed: KeptShed, client: TestClient
) -> None:
    looked = client.post(COLD, data=TYPED).text
    assert "In the last 30 days it would have spoken 2 times" in looked
    assert "down to 6.0°" in looked
    assert "Readings cover 6 % of that time: too little" in looked
    assert cold(shed) == 5.0
    kept = client.post(COLD, data={**TYPED, **hidden(looked)})
    assert kept.headers["location"] == "/setup/limits"
    assert cold(shed) == 7.0


def test_a_limit_changed_on_a_page_leaves_the_other_built_in_ones_in_force(
    shed: KeptShed, client: TestClient
) -> None:
    client.post(COLD, data={**TYPED, **hidden(client.post(COLD, data=TYPED).text)})
    held = {one.id for one in shed.settings().limits}
    assert held == {"shed-cold", "shed-hot", "shed-damp", "shed-dry"}
    assert "changed by you; built in: under 5° for 10 min" in client.get("/setup/limits").text


def test_all_that_is_wrong_with_a_limit_is_told_at_once(shed: KeptShed, client: TestClient) -> None:
    wrong = {**TYPED, "setpoint": "41 °F", "on_min": "ten", "priority": "dire"}
    answer = client.post(COLD, data=wrong)
    assert answer.status_code == 422
    assert "Setpoint 41 °F: give it in °C, -40 to 60 °C." in answer.text
    assert "For ten: allowed are 0 to 10080 minutes" in answer.text
    assert "How urgent: choose one" in answer.text
    assert cold(shed) == 5.0


def test_a_limit_that_crosses_another_is_refused_and_nothing_is_offered(
    shed: KeptShed, client: TestClient
) -> None:
    answer = client.post(COLD, data={**TYPED, "setpoint": "31"})
    assert answer.status_code == 422
    assert "crosses shed-hot" in answer.text
    assert "Keep it as you typed it" not in answer.text
    assert cold(shed) == 5.0


def test_one_that_is_off_watches_nothing_and_the_list_says_so(
    shed: KeptShed, client: TestClient
) -> None:
    client.post(f"{COLD}/switch", data={"go": "off"})
    assert "shed-cold" not in {one.id for one in shed.settings().limits}
    told = client.get("/setup/limits").text
    assert "Nothing tells when it is too cold in Shed." in told
    assert "switched off" in told
    client.post(f"{COLD}/switch", data={"go": "on"})
    assert cold(shed) == 5.0


def test_before_the_last_limit_goes_its_page_says_what_that_means(
    shed: KeptShed, client: TestClient
) -> None:
    for one in ("hot", "damp", "dry"):
        client.post(f"/setup/limits/shed-{one}/switch", data={"go": "off"})
    warning = "nothing is watched, and the wall never says"
    assert warning in client.get(COLD).text
    client.post(f"{COLD}/switch", data={"go": "off"})
    assert shed.settings().limits == ()
    assert warning in client.get("/setup/limits").text


def test_as_built_in_again_forgets_what_was_set(shed: KeptShed, client: TestClient) -> None:
    client.post(COLD, data={**TYPED, **hidden(client.post(COLD, data=TYPED).text)})
    client.post(f"{COLD}/switch", data={"go": "forget"})
    assert cold(shed) == 5.0


def test_a_new_limit_is_made_and_taken_away(shed: KeptShed, client: TestClient) -> None:
    asked = client.get("/setup/new-limit", params=NEW).text
    assert "Too hot, Shed" in asked
    sent = {**NEW, **TYPED, "setpoint": "27", "priority": "low"}
    mark = hidden(client.post("/setup/new-limit", data=sent).text)
    client.post("/setup/new-limit", data={**sent, **mark})
    made = next(one for one in shed.settings().limits if one.id == "shed-temperature-high")
    assert (made.high, made.priority) == (27.0, Priority.LOW)
    client.post("/setup/limits/shed-temperature-high/switch", data={"go": "forget"})
    assert client.get("/setup/limits/shed-temperature-high").status_code == 404


def test_out_of_service_asks_watch_and_wants_a_reason(shed: KeptShed, client: TestClient) -> None:
    refused = client.post(f"{COLD}/service", data={"go": "out", "days": "7", "reason": " "})
    assert refused.status_code == 422
    endless = client.post(f"{COLD}/service", data={"go": "out", "reason": "door taken out"})
    assert endless.status_code == 422
    client.post(f"{COLD}/service", data={"go": "out", "days": "7", "reason": "door taken out"})
    (asked,) = shed.stores.records.requests.pending()
    wish = wish_from(asked.body)
    assert (asked.kind, asked.subject) == (RequestKind.OUT_OF_SERVICE, "shed-cold")
    assert (wish.reason, wish.for_s) == ("door taken out", 7 * 86400.0)


def test_what_the_file_states_is_shown_and_can_not_be_changed(tmp_path: Path) -> None:
    stated = {"id": "own", "place": "shed", "quantity": "temperature", "low": 3.0}
    opened = open_kept_shed(tmp_path, {"limit": [stated]})
    try:
        client = client_of(opened)
        page = client.get("/setup/limits/own").text
        assert "Set in the file under [[limit]]" in page
        assert "Show how often" not in page
        assert client.post("/setup/limits/own/switch", data={"go": "off"}).status_code == 422
        assert [one.id for one in opened.settings().limits] == ["own"]
        client.post("/setup/limits", data={"built_in": "yes"})
        assert "shed-hot" in {one.id for one in opened.settings().limits}
    finally:
        opened.close()


@pytest.mark.parametrize("settable", [one for one in SETTABLES if one.numbers][:1])
def test_a_rule_is_set_within_its_bounds_and_as_usual_again(
    shed: KeptShed, client: TestClient, settable: object
) -> None:
    rule = next(one for one in SETTABLES if one is settable)
    first, address = rule.numbers[0], f"/setup/rules/{rule.kind}"
    usual = {one.key: f"{one.usual:g}" for one in rule.numbers}
    beyond = client.post(address, data={**usual, first.key: f"{first.most + 1:g}", "on": "yes"})
    assert beyond.status_code == 422
    assert f"allowed is {first.least:g} to {first.most:g}" in beyond.text
    client.post(address, data={**usual, first.key: f"{first.most:g}", "on": "no"})
    assert shed.settings().rules.number(rule.kind, first.key) == first.most
    assert not shed.settings().rules.is_on(rule.kind)
    client.post(address, data={"go": "usual"})
    assert shed.settings().rules.is_on(rule.kind) is rule.usually_on
    assert shed.settings().rules.number(rule.kind, first.key) == first.usual


def test_a_rule_that_speaks_is_taken_out_of_service_by_its_name(
    shed: KeptShed, client: TestClient
) -> None:
    speaks = Alarm(
        id="a1",
        rule="heater:shed",
        place="shed",
        priority=Priority.MEDIUM,
        state=AlarmState.UNACKNOWLEDGED,
        raised_at=NOW,
        value=2.0,
        setpoint=5.0,
        text="The heater does not hold.",
    )
    shed.stores.records.alarms.put([speaks])
    assert 'name="rule" value="heater:shed"' in client.get("/setup/limits").text
    told = {"rule": "heater:shed", "go": "out", "days": "", "reason": "being mended"}
    client.post("/setup/rules/heater/service", data=told)
    (asked,) = shed.stores.records.requests.pending()
    assert (asked.subject, wish_from(asked.body).for_s) == ("heater:shed", None)
    other = client.post("/setup/rules/heater/service", data={**told, "rule": "heater:barn"})
    assert other.status_code == 404


def test_a_rule_that_there_is_not_is_not_known(client: TestClient) -> None:
    assert client.post("/setup/rules/moonlight", data={"on": "no"}).status_code == 404


@pytest.mark.parametrize("path", ["/setup/limits", "/setup/rules/deep-bedding"])
def test_a_form_that_says_nothing_switches_nothing_off(shed: KeptShed, path: str) -> None:
    before = shed.settings()
    assert client_of(shed).post(path, data={}).status_code == 422
    after = shed.settings()
    assert after.limits == before.limits
    assert after.rules.is_on("deep-bedding")
