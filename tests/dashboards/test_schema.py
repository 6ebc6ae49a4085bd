"""Whatever is sent to the pages, signed in as the keeper: none of them fails.

Requests are made by schemathesis from the application's own OpenAPI description, with what it
allows and what it does not. Forms are not described there, so fields of our own names are sent
beside, with any text in them.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import Case, GenerationMode
from schemathesis.core.result import Ok

from dashboards.pages.live import Streams
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed, open_shed
from tests.dashboards.house import browser, people_of, sign_in

FIELDS = (
    *("name", "role", "new_password", "old_password", "password", "your_password", "next", "code"),
    *("eggs", "chicks", "hen", "at", "note", "form_id", "day", "forget", "egg.1.fate", "counted"),
    *("season", "sure", "task", "shown", "was_done", "box", "pair"),
    *("latitude", "longitude", "timezone", "on", "off", "dim", "count", "boxes_each", "go", "let"),
    *("device", "place", "interval", "measure", "topic", "format", "pointer", "unit", "quantity"),
    *("url", "username", "kind", "within", "order", "old", "new", "shown", "sitting.least"),
)
VALUES = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        ["", "0", "-1", "1e999", "NaN", "99999999999999999999", "yes", "keep", "box-1"]
    ),
)
FORMS = st.dictionaries(st.sampled_from(FIELDS), VALUES, max_size=8)
NARROW = {"enum", "format", "pattern", "minLength", "maxLength", "$ref"}
MOST_RIGHT, MOST_WRONG = 5, 3
"""How often a route is asked for as it is described, and as it is not."""


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FilledShed]:
    filled = open_shed(Path(tmp_path_factory.mktemp("schema")))
    filled.fill_air(hours=2)
    filled.fill_nests()
    yield filled
    filled.close()


def described(client: TestClient) -> list[schemathesis.APIOperation[Any, Any, Any, Any]]:
    document = client.get("/openapi.json").json()
    schema = schemathesis.openapi.from_dict(document)
    found = [one.ok() for one in schema.get_all_operations() if isinstance(one, Ok)]
    assert len(found) == sum(len(methods) for methods in document["paths"].values())
    return found


def test_no_request_that_can_be_thought_of_makes_a_page_fail(shed: FilledShed) -> None:
    mara, _ = people_of(shed)
    client = sign_in(browser(shed), shed, mara)
    streams: Streams = client.app.state.streams  # type: ignore[attr-defined]
    streams.stopping = lambda: True
    operations = described(client)
    assert len(operations) > 60
    statuses: set[int] = set()
    wrongly = 0

    def send(case: Case[Any], form: dict[str, str]) -> None:
        answer = client.request(
            case.method,
            case.formatted_path,
            params={name: str(value) for name, value in (case.query or {}).items()},
            data=form if case.method not in {"GET", "HEAD"} else None,
        )
        statuses.add(answer.status_code)
        assert answer.status_code < 500, (case.method, case.formatted_path, form, answer.text)
        if case.method != "GET":
            # A sign-out, or a password that was changed, must not end the trial.
            newest = next(one for one in shed.records.people.people() if one.id == mara.id)
            sign_in(client, shed, newest)

    for operation in operations:
        parts = list(operation.iter_parameters())
        # Without parts, and without a form, every request is the same.
        right = MOST_RIGHT if parts or operation.method != "get" else 1
        as_described = operation.as_strategy(generation_mode=GenerationMode.POSITIVE)
        try_all(as_described, send, most=right)
        if any(takes_not_all(one.definition["schema"]) for one in parts):
            other = operation.as_strategy(generation_mode=GenerationMode.NEGATIVE)
            try_all(other, send, most=MOST_WRONG)
            wrongly += 1
    assert wrongly > 20
    assert {200, 303, 404, 422} <= statuses


def takes_not_all(schema: dict[str, Any]) -> bool:
    """Whether there is a text that it does not describe."""
    kinds = schema.get("anyOf", [schema])
    return not any(one.get("type") == "string" and not one.keys() & NARROW for one in kinds)


def try_all(
    cases: st.SearchStrategy[Case[Any]],
    send: Callable[[Case[Any], dict[str, str]], None],
    *,
    most: int,
) -> None:
    @settings(
        max_examples=most,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(cases, FORMS)
    def tried(case: Case[Any], form: dict[str, str]) -> None:
        send(case, form)

    tried()
