"""Each sensor gets a name and a password at our own broker: shown once, and taken away."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboards.marks.qr import qr_svg
from dashboards.views.account_view import to_type
from dashboards.views.waiting_view import Reach
from service.machine.broker_accounts import BrokerAccounts
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.kept_shed import KeptShed, open_kept_shed
from tests.dashboards.pages.test_sensors import EVIL, text_of


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    kept = open_kept_shed(tmp_path)
    yield kept
    kept.close()


@pytest.fixture
def given(shed: KeptShed) -> TestClient:
    """Pages of a shed whose broker is ours."""
    shed.accounts = BrokerAccounts(shed.data / "broker")
    return client_of(shed)


def password_shown(page: str) -> str:
    found = re.search(r"<p>Password</p><p class=\"once\">([^<]+)</p>", page)
    assert found is not None
    return found[1]


def test_a_name_and_a_password_are_shown_once(shed: KeptShed, given: TestClient) -> None:
    answer = given.post("/sensors/new", data={"name": "th-9", "topics": ""})
    password = password_shown(answer.text)
    assert answer.headers["cache-control"] == "no-store"
    assert "192.0.2.7" in answer.text
    assert "clutchweather/th-9/senml" in answer.text
    assert shed.accounts is not None
    assert shed.accounts.topics("th-9") == ("clutchweather/th-9/#",)
    again = given.get("/sensors/new").text
    assert "th-9" in again
    assert password not in again
    notes = [one.what for one in shed.stores.records.changes.changes()]
    assert notes == ["Sensor th-9 got a name and a password at the broker."]
    assert password not in notes[0]


def test_the_code_holds_what_is_typed(given: TestClient) -> None:
    page = given.post("/sensors/new", data={"name": "th-9", "topics": ""}).text
    drawing = page[page.index('<svg class="qr"') : page.index("</svg>") + 6]
    text = to_type(
        Reach(hosts=("192.0.2.7",), port=1883, tls_port=None),
        "th-9",
        password_shown(page),
        "clutchweather/th-9/senml",
    )
    # That such a drawing is read by a camera as its text is tested where it is drawn.
    assert drawing == qr_svg(text)


def test_a_gateway_gets_the_topics_that_it_uses(shed: KeptShed, given: TestClient) -> None:
    given.post("/sensors/new", data={"name": "gate-1", "topics": "gateway/#, other/+/x"})
    assert shed.accounts is not None
    assert shed.accounts.topics("gate-1") == ("gateway/#", "other/+/x")


@pytest.mark.parametrize(
    "form",
    [
        {"name": ""},
        {"name": EVIL},
        {"name": "../../passwords"},
        {"name": "a:b"},
        {"name": "clutchweather"},
        {"name": "th-9", "topics": "#"},
        {"name": "th-9", "topics": "$SYS/#"},
        {"name": "th-9", "topics": "+/x"},
    ],
    ids=str,
)
def test_a_name_or_topic_that_cannot_be_makes_no_account(
    shed: KeptShed, given: TestClient, form: dict[str, str]
) -> None:
    answer = given.post("/sensors/new", data={"topics": "", **form})
    assert answer.status_code == 422
    assert "can't be" in text_of(answer.text) or "of the service itself" in text_of(answer.text)
    assert shed.accounts is not None
    assert shed.accounts.names() == ()


def test_a_name_that_has_an_account_keeps_its_password(shed: KeptShed, given: TestClient) -> None:
    given.post("/sensors/new", data={"name": "th-9", "topics": ""})
    assert shed.accounts is not None
    before = shed.accounts.passwords_file.read_text()
    assert given.post("/sensors/new", data={"name": "th-9", "topics": ""}).status_code == 422
    assert shed.accounts.passwords_file.read_text() == before


def test_a_new_password_and_taking_away(shed: KeptShed, given: TestClient) -> None:
    first = password_shown(given.post("/sensors/new", data={"name": "th-9", "topics": ""}).text)
    second = password_shown(given.post("/sensors/new/renew", data={"name": "th-9"}).text)
    assert first != second
    assert given.post("/sensors/new/revoke", data={"name": "th-9"}).status_code == 303
    assert shed.accounts is not None
    assert shed.accounts.names() == ()
    assert given.post("/sensors/new/revoke", data={"name": "th-9"}).status_code == 404


def test_where_the_broker_is_not_ours_it_is_said_what_to_make_there(shed: KeptShed) -> None:
    client = client_of(shed)
    text = text_of(client.get("/sensors/new").text)
    assert "names and passwords are made there" in text
    assert "clutchweather/+/canary" in text
    assert client.post("/sensors/new", data={"name": "th-9"}).status_code == 404
