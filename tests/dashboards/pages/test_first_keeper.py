"""Whoever reads the code off the console becomes the first keeper, once."""

import pytest

from dashboards.cookies import COOKIE
from dashboards.csrf import HEADER, csrf_token
from service.people.digest import digest_of
from service.people.first_code import as_kept, new_first_code
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed
from tests.dashboards.house import PASSWORD, browser, with_token


def offer(shed: FilledShed) -> str:
    code = new_first_code()
    shed.records.people.put_first_code(digest_of(as_kept(code)), shed.clock.now())
    return code


def told(code: str, **changed: str) -> dict[str, str]:
    form = {"code": code, "name": "Mara", "password": PASSWORD, "password_again": PASSWORD}
    return form | changed


@pytest.fixture
def machine(shed: FilledShed) -> TestClient:
    return with_token(browser(shed, ("127.0.0.1", 50000)))


def test_the_code_makes_a_keeper_who_is_signed_in_at_once(
    shed: FilledShed, machine: TestClient
) -> None:
    answer = machine.post("/first/keeper", data=told(offer(shed).upper().replace("-", " ")))
    assert answer.headers["location"] == "/first/shed"
    assert machine.get("/first/shed").status_code == 200
    assert machine.get("/people").status_code == 200
    assert shed.records.changes.changes()[0].what == "Mara is the first keeper"


def test_the_page_is_gone_for_ever_once_there_is_a_keeper(
    shed: FilledShed, machine: TestClient
) -> None:
    code = offer(shed)
    machine.post("/first/keeper", data=told(code))
    machine.headers[HEADER] = csrf_token(machine.cookies[COOKIE])
    for client in (machine, with_token(browser(shed)), with_token(browser(shed, ("::1", 1)))):
        assert client.get("/first/keeper").status_code == 404
        assert client.post("/first/keeper", data=told(code, name="Eve")).status_code == 404
    assert [one.name for one in shed.records.people.people()] == ["Mara"]


@pytest.mark.parametrize("code", ["", "abcd-efgh-jkmn-pqrs", "'; DROP TABLE people; --"])
def test_a_foreign_code_makes_nobody_and_is_counted(
    shed: FilledShed, machine: TestClient, code: str
) -> None:
    offer(shed)
    answer = machine.post("/first/keeper", data=told(code))
    assert answer.status_code == 422
    assert "9 tries are left" in answer.text
    assert shed.records.people.people() == []


def test_the_code_of_an_earlier_start_opens_nothing(shed: FilledShed, machine: TestClient) -> None:
    old = offer(shed)
    new = offer(shed)
    assert machine.post("/first/keeper", data=told(old)).status_code == 422
    assert machine.post("/first/keeper", data=told(new)).status_code == 303


def test_after_ten_wrong_codes_a_new_start_is_needed(shed: FilledShed, machine: TestClient) -> None:
    code = offer(shed)
    answers = [machine.post("/first/keeper", data=told(f"wrong {n}")).text for n in range(10)]
    assert "one try is left" in answers[8]
    assert "Start the service again" in answers[9]
    assert "Start the service again" in machine.post("/first/keeper", data=told(code)).text
    assert machine.post("/first/keeper", data=told(offer(shed))).status_code == 303


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": " "}, "A name is needed"),
        ({"password": "short", "password_again": "short"}, "at least 10"),
        ({"password_again": "another password"}, "typed in two ways"),
        ({"name": PASSWORD}, "is the name"),
    ],
)
def test_what_cant_be_is_told_and_costs_no_try(
    shed: FilledShed, machine: TestClient, changed: dict[str, str], words: str
) -> None:
    code = offer(shed)
    answer = machine.post("/first/keeper", data=told(code, **changed))
    assert answer.status_code == 422
    assert words in answer.text
    assert PASSWORD not in answer.text.replace(f'name="name" value="{PASSWORD}"', "")
    held = shed.records.people.first_code()
    assert held is not None
    assert held.tries == 0


def test_a_hostile_name_is_inert(shed: FilledShed, machine: TestClient) -> None:
    answer = machine.post(
        "/first/keeper", data=told(offer(shed), name='"><script>alert(1)</script>', password="x")
    )
    assert "<script>alert" not in answer.text
    assert "&lt;script&gt;alert" in answer.text
