"""Every route lets in whom the table says, and nobody else; the routes are the application's."""

from collections.abc import Callable

import pytest

from dashboards.access import FIRST_STEP, Least, is_page, is_sensitive, least_for, may
from dashboards.app import create_app
from dashboards.pages.live import Streams
from service.people.role import Role
from tests.dashboards.app_routes import routes
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed
from tests.dashboards.house import as_wall, browser, people_of, sign_in, with_token

ROLES: list[Role | None] = [None, Role.WALL, Role.HELPER, Role.KEEPER]


@pytest.fixture
def visitor(shed: FilledShed) -> Callable[[Role | None], TestClient]:
    """A browser for each role, in a shed that has a keeper; event streams end at once."""
    mara, jo = people_of(shed)
    app = create_app(shed.services())
    streams: Streams = app.state.streams
    streams.stopping = lambda: True

    def made(role: Role | None) -> TestClient:
        client = browser(shed, app=app)
        match role:
            case None:
                return with_token(client)
            case Role.WALL:
                return as_wall(client, shed)
            case Role.HELPER:
                return sign_in(client, shed, jo)
            case Role.KEEPER:
                return sign_in(client, shed, mara)

    return made


def refused(status: int, location: str) -> bool:
    return status in {401, 403} or location.startswith("/login?next=")


@pytest.mark.parametrize("role", ROLES)
def test_every_route_refuses_exactly_whom_the_table_says(
    shed: FilledShed, visitor: Callable[[Role | None], TestClient], role: Role | None
) -> None:
    client = visitor(role)
    for method, path in routes(shed):
        answer = client.request(method, path)
        if method != "GET":
            client = visitor(role)  # this one may have signed out
        was = refused(answer.status_code, answer.headers.get("location", ""))
        if path == FIRST_STEP:
            assert answer.status_code == 404, (method, path)
        elif path == "/login" and method == "POST":
            # Open to all; an empty form is a wrong password.
            assert answer.status_code == 401
            assert "Name or password" in answer.text
        else:
            assert was == (not may(role, least_for(method, path))), (
                method,
                path,
                answer.status_code,
            )


def test_nobody_and_a_wall_are_sent_from_pages_to_the_sign_in(
    shed: FilledShed, visitor: Callable[[Role | None], TestClient]
) -> None:
    sent_on = 0
    for role in (None, Role.WALL):
        client = visitor(role)
        for method, path in routes(shed):
            if method != "GET" or may(role, least_for(method, path)) or path == FIRST_STEP:
                continue
            answer = client.get(path)
            if is_page(path):
                sent_on += 1
                assert answer.status_code == 303, path
                assert answer.headers["location"].startswith("/login?next=%2F")
            else:
                assert answer.status_code in {401, 403}, path
                assert answer.text.endswith((".", ". "))
                assert "<" not in answer.text
    assert sent_on > 30


def test_what_a_wall_may_ask_for_is_the_wall_alone(shed: FilledShed) -> None:
    allowed = {path for method, path in routes(shed) if may(Role.WALL, least_for(method, path))}
    assert allowed == {
        "/wall",
        "/wall/picture",
        "/live",
        "/plotting.js",
        "/static/wall.js",
        "/fonts/regular.ttf",
        "/fonts/bold.ttf",
        "/fonts/licence.txt",
        "/calendar/1.ics",
        "/health",
        "/login",
    }


def test_without_showing_anything_only_assets_health_calendars_and_the_sign_in_answer(
    shed: FilledShed,
) -> None:
    allowed = {path for method, path in routes(shed) if least_for(method, path) is Least.ANYONE}
    assert allowed == {
        "/static/wall.js",
        "/fonts/regular.ttf",
        "/fonts/bold.ttf",
        "/fonts/licence.txt",
        "/calendar/1.ics",
        "/health",
        "/login",
    }


def test_a_helper_changes_the_nest_book_and_alarms_and_their_own_password_only(
    shed: FilledShed,
) -> None:
    changes = {
        path
        for method, path in routes(shed)
        if method not in {"GET", "HEAD"} and may(Role.HELPER, least_for(method, path))
    }
    assert changes == {
        "/air/looked",
        "/air/clocks/treated",
        "/air/clocks/treated/1/back",
        "/air/clocks/treated/1/undo",
        "/alarms/box-1/acknowledge",
        "/nests/box-1/check",
        "/nests/box-1/check/preview",
        "/nests/box-1/move",
        "/nests/box-1/sitting",
        "/login",
        "/logout",
        "/password",
        "/season/clean-down",
        "/setup/birds/1/notes",
        "/setup/cages/box-1/looked",
        "/today",
        "/today/low",
        "/today/low/1/back",
        "/today/low/1/strike",
        "/today/visit/begin",
        "/today/visit/end",
    }


@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE", "PATCH"])
def test_a_route_that_nobody_wrote_into_the_table_is_the_keepers(method: str) -> None:
    assert least_for(method, "/some/page/of/tomorrow") is Least.KEEPER


def test_everything_that_lets_somebody_in_is_there_and_asks_again(shed: FilledShed) -> None:
    asked = {path for method, path in routes(shed) if is_sensitive(method, path)}
    assert asked == {
        "/people",
        "/people/1/leave",
        "/people/1/password",
        "/people/walls",
        "/people/walls/1/revoke",
        "/first/phones",
        "/setup/calendars",
        "/setup/calendars/1/revoke",
        "/setup/phones",
    }


@pytest.mark.parametrize("role", ROLES)
def test_no_change_without_its_token_whoever_asks(
    shed: FilledShed, visitor: Callable[[Role | None], TestClient], role: Role | None
) -> None:
    client = visitor(role)
    for token in ("", "0" * 64):
        client.headers["x-csrf-token"] = token
        for method, path in routes(shed):
            if method in {"GET", "HEAD"}:
                continue
            assert client.request(method, path).status_code == 403, (method, path)
        assert client.post("/no/such/page").status_code == 403
        assert client.post("/static/wall.js").status_code == 403


def test_before_the_first_keeper_only_this_machine_is_answered(shed: FilledShed) -> None:
    there = with_token(browser(shed))
    for method, path in routes(shed):
        answer = there.request(method, path)
        assert answer.status_code == 403, (method, path)
        assert "no keeper yet" in answer.text


@pytest.mark.parametrize("address", ["127.0.0.1", "::1", "::ffff:127.0.0.1"])
def test_before_the_first_keeper_this_machine_may_set_the_shed_up(
    shed: FilledShed, address: str
) -> None:
    here = with_token(browser(shed, (address, 50000)))
    for path in ("/nests", "/setup", "/sensors", FIRST_STEP):
        assert here.get(path).status_code == 200, path


def test_before_the_first_keeper_people_tokens_and_bind_cant_be_changed(shed: FilledShed) -> None:
    here = with_token(browser(shed, ("127.0.0.1", 50000)))
    for method, path in routes(shed):
        if is_sensitive(method, path) or path in {"/login", "/logout", "/password"}:
            answer = here.request(method, path)
            if method == "GET":
                assert answer.headers["location"] == FIRST_STEP, path
            else:
                assert answer.status_code == 403, (method, path)
    assert shed.records.people.people() == []
    assert shed.records.people.wall_tokens() == []


def test_who_has_left_and_whose_token_was_taken_back_is_nobody(shed: FilledShed) -> None:
    _, jo = people_of(shed)
    helper, tablet = sign_in(browser(shed), shed, jo), as_wall(browser(shed), shed)
    assert helper.get("/nests").status_code == 200
    assert tablet.get("/wall").status_code == 200
    shed.records.people.leave(jo.id, shed.clock.now())
    shed.records.people.revoke_wall_token(1, shed.clock.now())
    assert helper.get("/nests").status_code == 303
    assert tablet.get("/wall").status_code == 303
    assert tablet.get("/wall/picture").status_code == 401


def test_health_tells_strangers_whether_it_lives_and_nothing_else(shed: FilledShed) -> None:
    mara, _ = people_of(shed)
    assert set(browser(shed).get("/health").json()) == {"ok", "parts"}
    assert set(as_wall(browser(shed), shed).get("/health").json()) == {"ok", "parts"}
    assert "broker" in sign_in(browser(shed), shed, mara).get("/health").json()
