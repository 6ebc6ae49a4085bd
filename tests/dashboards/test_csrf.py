"""A form counts only with the token of the browser that it was served to; none is lost."""

import re
from html import unescape
from uuid import uuid4

import pytest

from dashboards.cookies import COOKIE
from dashboards.csrf import FIELD, HEADER, csrf_field, csrf_token
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed

FORMS = ["/setup/species", "/nests/box-1", "/nests/box-1/check"]


def token_on(text: str) -> str:
    found = re.search(rf'<input type="hidden" name="{FIELD}" value="([0-9a-f]+)">', text)
    assert found, "no token on this page"
    return found.group(1)


def look() -> dict[str, str]:
    return {
        "form_id": str(uuid4()),
        "eggs": "5",
        "chicks": "0",
        "eggs_before": "5",
        "chicks_before": "0",
        "hen": "sitting",
        "at": "2026-04-21T14:29",
        "note": '<b>warm</b> & "dry"',
    }


@pytest.fixture
def browser(client: TestClient) -> TestClient:
    """A browser that has no cookie yet, and sends no header of its own."""
    client.cookies.clear()
    del client.headers[HEADER]
    return client


@pytest.mark.parametrize("path", FORMS)
def test_every_form_carries_the_token_of_its_browser(browser: TestClient, path: str) -> None:
    text = browser.get(path).text
    assert text.count('method="post"') == text.count(f'name="{FIELD}"') > 0
    assert token_on(text) == csrf_token(browser.cookies[COOKIE])


def test_the_cookie_is_given_once_and_hidden_from_scripts(browser: TestClient) -> None:
    given = browser.get("/setup/species").headers["set-cookie"]
    assert given.startswith(f"{COOKIE}=")
    assert sorted(given.split("; ")[1:]) == ["HttpOnly", "Path=/", "SameSite=lax"]
    assert "set-cookie" not in browser.get("/setup/species").headers
    assert "set-cookie" not in browser.get("/nests").headers


def test_two_browsers_have_two_tokens(browser: TestClient) -> None:
    first = token_on(browser.get("/setup/species").text)
    browser.cookies.clear()
    assert token_on(browser.get("/setup/species").text) != first


def test_a_check_with_its_token_is_saved(browser: TestClient, shed: FilledShed) -> None:
    token = token_on(browser.get("/nests/box-1/check").text)
    before = len(shed.records.nest_book.nest("box-1").checks)
    answer = browser.post("/nests/box-1/check", data={**look(), FIELD: token})
    assert answer.status_code == 303
    assert len(shed.records.nest_book.nest("box-1").checks) == before + 1


@pytest.mark.parametrize("token", ["", "0" * 64, csrf_token("of another browser"), "ü"])
def test_a_check_with_a_stale_token_is_held_and_one_more_press_saves_it(
    browser: TestClient, shed: FilledShed, token: str
) -> None:
    browser.get("/nests")
    sent = look()
    before = len(shed.records.nest_book.nest("box-1").checks)
    answer = browser.post("/nests/box-1/check", data={**sent, FIELD: token})
    assert answer.status_code == 403
    assert "Nothing was saved yet" in answer.text
    assert len(shed.records.nest_book.nest("box-1").checks) == before
    held = {
        name: unescape(value)
        for name, value in re.findall(
            r'<input type="hidden" name="([^"]+)" value="([^"]*)">', answer.text
        )
    }
    assert {name: held[name] for name in sent} == sent
    assert browser.post("/nests/box-1/check", data=held).status_code == 303
    assert len(shed.records.nest_book.nest("box-1").checks) == before + 1


def test_a_held_page_never_shows_a_password_again(browser: TestClient) -> None:
    answer = browser.post("/setup/species", data={"new_password": "correct horse"})
    assert answer.status_code == 403
    assert "correct horse" not in answer.text
    assert "type it once more" in answer.text


def test_a_hostile_cookie_is_inert_in_the_field() -> None:
    assert re.fullmatch(r'<input [^<>]*value="[0-9a-f]{64}">', csrf_field(csrf_token('"><script>')))
