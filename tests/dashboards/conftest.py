"""A filled shed, and a client that asks its pages as a browser of the house would."""

import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

import pytest

from dashboards.app import create_app
from dashboards.cookies import COOKIE
from dashboards.csrf import HEADER, csrf_token
from dashboards.page_services import PageServices
from service.people.digest import new_secret
from tests.dashboards.filled_shed import FilledShed, open_filled_shed

with warnings.catch_warnings():  # the framework's client has a quarrel with its own transport
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient as TestClient  # noqa: PLC0414  for other tests


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    filled = open_filled_shed(tmp_path, air_hours=3)
    yield filled
    filled.close()


@pytest.fixture
def client(shed: FilledShed) -> TestClient:
    return client_of(shed)


class Served(Protocol):
    """A shed of the tests whose pages can be asked."""

    def services(self) -> PageServices: ...


def client_of(shed: Served) -> TestClient:
    """A browser on this machine; it sends its CSRF token with everything."""
    cookie = new_secret()
    return TestClient(
        create_app(shed.services()),
        base_url="http://testserver",
        headers={"origin": "http://testserver", HEADER: csrf_token(cookie)},
        cookies={COOKIE: cookie},
        follow_redirects=False,
        client=("127.0.0.1", 50000),
    )
