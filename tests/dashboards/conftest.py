"""A filled shed, and a client that asks its pages as a browser of the house would."""

import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboards.app import create_app
from tests.dashboards.filled_shed import FilledShed, open_shed

with warnings.catch_warnings():  # the framework's client has a quarrel with its own transport
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient as TestClient  # noqa: PLC0414  for other tests


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    filled = open_shed(tmp_path)
    filled.fill_air(hours=3)
    filled.fill_nests()
    yield filled
    filled.close()


@pytest.fixture
def client(shed: FilledShed) -> TestClient:
    return client_of(shed)


def client_of(shed: FilledShed) -> TestClient:
    return TestClient(
        create_app(shed.services()),
        base_url="http://testserver",
        headers={"origin": "http://testserver"},
        follow_redirects=False,
    )
