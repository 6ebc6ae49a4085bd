"""What the README and the help page name is there: every command, every page."""

import re
from pathlib import Path

import pytest
from starlette.routing import Match

from dashboards.app import create_app
from dashboards.templating import FOLDER
from service.__main__ import app
from tests.dashboards.kept_shed import open_kept_shed

README = Path(__file__).parents[1] / "README.md"
HELP = FOLDER / "templates" / "help.html"

pytestmark = pytest.mark.skipif(not README.exists(), reason="the README is not part of this copy")


def commands() -> set[str]:
    return {
        one.name or (one.callback.__name__ if one.callback else "")
        for one in app.registered_commands
    }


@pytest.mark.parametrize("file", [README, HELP], ids=["README", "help"])
def test_every_command_that_is_named_is_one(file: Path) -> None:
    named = set(re.findall(r"service/start ([a-z][a-z-]+)", file.read_text()))
    assert "backup" in named
    assert named - commands() == set()


@pytest.mark.parametrize("file", [README, HELP], ids=["README", "help"])
def test_every_page_that_is_named_is_one(file: Path, tmp_path: Path) -> None:
    named = set(re.findall(r'(?:`|href=")(/[a-z][a-z0-9/-]*)', file.read_text()))
    named = {path for path in named if not path.startswith(("/tmp", "/var", "/etc"))}
    assert "/people" in named
    shed = open_kept_shed(tmp_path)
    routes = create_app(shed.services()).routes
    shed.close()

    def is_page(path: str) -> bool:
        scope = {"type": "http", "path": path, "method": "GET", "headers": []}
        return any(route.matches(scope)[0] is Match.FULL for route in routes)

    assert {path for path in named if not is_page(path)} == set()
