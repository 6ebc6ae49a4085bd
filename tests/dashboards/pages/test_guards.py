"""No route answers to a foreign name, and nothing is changed at another site's asking."""

import re

import pytest
from fastapi.routing import APIRoute

from dashboards import app
from dashboards.app import create_app
from dashboards.guards import host_name
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed


def routes(shed: FilledShed) -> list[tuple[str, str]]:
    """Every method and path of the application, told by the application's own routers."""
    assert create_app(shed.services())
    found = [("GET", "/static/wall.js"), ("GET", "/openapi.json")]
    for router in app._ROUTERS:
        for route in router.routes:
            assert isinstance(route, APIRoute)
            path = re.sub(r"\{[^}]+\}", "box-1", route.path)
            found += [(method, path) for method in route.methods or ()]
    return found


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
    "origin", ["http://evil.example", "null", "", "http://testserver:81", "file://testserver"]
)
def test_every_change_refuses_a_foreign_origin(
    shed: FilledShed, client: TestClient, origin: str
) -> None:
    for method, path in routes(shed):
        if method != "POST":
            continue
        answer = client.post(path, data={"day": "2026-04-12"}, headers={"origin": origin})
        assert answer.status_code == 403, path


def test_a_change_without_an_origin_is_refused(shed: FilledShed, client: TestClient) -> None:
    del client.headers["origin"]
    answer = client.post("/nests/box-1/sitting", data={"day": "2026-04-12"})
    assert answer.status_code == 403
    clutch = shed.records.nest_book.nest("box-1").clutch
    assert clutch is not None
    assert clutch.sitting_from is None


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
