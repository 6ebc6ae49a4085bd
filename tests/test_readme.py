"""What the README and the help page name is there: every command, every page."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.routing import Match
from typer.main import get_group

from dashboards.app import create_app
from service.__main__ import app
from tests.dashboards.conftest import client_of
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

README = Path(__file__).parents[1] / "README.md"

pytestmark = pytest.mark.skipif(not README.exists(), reason="the README is not part of this copy")


def commands() -> set[str]:
    return set(get_group(app).commands)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    opened = open_kept_shed(tmp_path)
    yield opened
    opened.close()


@pytest.fixture(params=["README", "help"])
def text(request: pytest.FixtureRequest, shed: KeptShed) -> str:
    return README.read_text() if request.param == "README" else client_of(shed).get("/help").text


def test_every_command_that_is_named_is_one(text: str) -> None:
    named = set(re.findall(r"service/start ([a-z][a-z-]+)", text))
    assert {"install-units", "update", "go-back", "uninstall", "restore"} <= named
    assert named - commands() == set()


def test_every_page_that_is_named_is_one(text: str, shed: KeptShed) -> None:
    named = set(re.findall(r'(?:`|<a href=")(/[a-z][a-z0-9/-]*)', text))
    named = {path for path in named if not path.startswith(("/tmp", "/var", "/etc"))}
    assert "/people/walls" in named
    routes = create_app(shed.services()).routes

    def is_page(path: str) -> bool:
        scope = {"type": "http", "path": path, "method": "GET", "headers": []}
        return any(route.matches(scope)[0] is Match.FULL for route in routes)

    assert {path for path in named if not is_page(path)} == set()
