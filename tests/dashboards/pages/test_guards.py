"""No route answers to a foreign name, and nothing is changed at another site's asking."""

import re
from dataclasses import replace

import pytest
from starlette.types import Receive, Scope, Send

from dashboards.app import create_app
from dashboards.guards import host_name
from tests.dashboards.app_routes import routes
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import FilledShed


def test_there_are_routes_to_try(shed: FilledShed) -> None:
    tried = routes(shed)
    assert len(tried) > 20
    assert ("GET", "/live") in tried
    assert sum(method == "POST" for method, _ in tried) >= 4


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8460", "127.0.0.1.evil.example", ""]
)
def test_every_route_refuses_a_foreign_host(
    shed: FilledShed, client: TestClient, host: str
) -> None:
    for method, path in routes(shed):
        answer = client.request(method, path, headers={"host": host})
        assert answer.status_code == 400, (method, path)


@pytest.mark.parametrize(
    "host",
    [
        *("testserver:80/static", "testserver/static", "testserver:80?", "testserver:80#"),
        *("testserver:80\\static", "mara@testserver", "testserver:8o", "[::1]/static", "[::1]x"),
    ],
)
def test_a_host_is_a_name_and_a_port_and_nothing_more(client: TestClient, host: str) -> None:
    assert client.get("/people", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("host", ["testserver", "testserver:8460", "[::1]:8460", "[::1]"])
def test_a_name_may_have_a_port(client: TestClient, host: str) -> None:
    assert client.get("/health", headers={"host": host}).status_code in {200, 503}


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "", "http://testserver:81", "file://testserver"]
)
def test_every_change_refuses_a_foreign_origin(
    shed: FilledShed, client: TestClient, origin: str
) -> None:
    for method, path in routes(shed):
        if method in {"GET", "HEAD"}:
            continue
        answer = client.request(
            method, path, data={"day": "2026-04-12"}, headers={"origin": origin}
        )
        assert answer.status_code == 403, path


def test_a_change_without_an_origin_is_refused(shed: FilledShed, client: TestClient) -> None:
    del client.headers["origin"]
    day = {"day": "2026-04-12"}
    elsewhere = {"sec-fetch-site": "cross-site"}
    assert client.post("/nests/box-1/sitting", data=day, headers=elsewhere).status_code == 403
    answer = client.post("/nests/box-1/sitting", data=day)
    assert answer.status_code == 403
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    assert clutch.sitting_from is None


def test_a_browser_that_tells_no_origin_may_tell_that_it_is_our_own(client: TestClient) -> None:
    del client.headers["origin"]
    own = {"sec-fetch-site": "same-origin"}
    answer = client.post("/nests/box-1/sitting", data={"day": "2026-04-12"}, headers=own)
    assert answer.status_code == 303


def test_the_pages_answer_to_names_that_the_settings_add(shed: FilledShed) -> None:
    client = client_of(shed)
    assert client.get("/nests", headers={"host": "birds.example:8460"}).status_code == 400
    shed.settings = replace(shed.settings, page_names=("Birds.example",))
    assert client.get("/nests", headers={"host": "birds.example:8460"}).status_code == 200


@pytest.mark.parametrize(
    ("came_in_on", "host", "status"),
    [
        ("192.168.1.20", "192.168.1.20:8460", 200),
        ("192.168.1.20", "192.168.1.21:8460", 400),
        ("fe80::1%eth0", "[fe80::1]:8460", 200),
        ("::ffff:192.168.1.20", "192.168.1.20", 200),
        ("evil.example", "evil.example", 400),
    ],
)
def test_the_pages_answer_to_the_address_that_a_connection_came_in_on(
    shed: FilledShed, came_in_on: str, host: str, status: int
) -> None:
    app = create_app(shed.services())

    async def there(scope: Scope, receive: Receive, send: Send) -> None:
        await app({**scope, "server": (came_in_on, 8460), "app": app}, receive, send)

    client = TestClient(there, client=("127.0.0.1", 50000))
    assert client.get("/health", headers={"host": host}).status_code == status


def test_a_form_larger_than_any_of_ours_is_refused(client: TestClient) -> None:
    answer = client.post("/nests/box-1/check", data={"note": "x" * 70_000})
    assert answer.status_code == 413


def test_no_page_allows_scripts_that_are_not_our_files(client: TestClient) -> None:
    for path in ("/", "/wall", "/nests/box-1", "/alarms", "/sensors", "/setup"):
        policy = client.get(path).headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "script-src" not in policy
        assert "unsafe-eval" not in policy


@pytest.mark.parametrize("path", ["/", "/wall", "/nests", "/nests/box-1", "/alarms", "/setup"])
def test_pages_have_no_inline_script_and_fetch_nothing_from_afar(
    client: TestClient, path: str
) -> None:
    text = client.get(path).text
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"\son\w+=", text)
    assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", text)


@pytest.mark.parametrize(
    ("host", "name"),
    [
        ("127.0.0.1:8460", "127.0.0.1"),
        ("LOCALHOST", "localhost"),
        ("[::1]:8460", "[::1]"),
        ("[::1].evil", "[::1]"),
    ],
)
def test_a_host_is_known_by_its_name_without_the_port(host: str, name: str) -> None:
    assert host_name(host) == name
