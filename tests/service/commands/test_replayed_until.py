"""Until when a folder was filled by a replay, and what it costs to ask for it."""

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.commands.replayed_until import (
    forget_replay,
    note_replayed_until,
    read_replayed_until,
)

END = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


def test_a_folder_without_a_replay_has_no_end_of_one(tmp_path: Path) -> None:
    assert read_replayed_until(tmp_path) is None


def test_the_end_of_the_replay_that_came_furthest_counts(tmp_path: Path) -> None:
    note_replayed_until(tmp_path, END)
    note_replayed_until(tmp_path, END - timedelta(hours=3))
    assert read_replayed_until(tmp_path) == END


def test_a_watch_puts_an_end_to_it(tmp_path: Path) -> None:
    note_replayed_until(tmp_path, END)
    forget_replay(tmp_path)
    assert read_replayed_until(tmp_path) is None


@pytest.mark.parametrize(
    ("module", "not_needed"),
    [
        ("service.commands.running", ("sqlalchemy", "paho", "alembic", "fastapi", "plotly")),
        ("service.commands.brokering", ("alembic", "fastapi", "argon2", "plotly", "msgspec")),
        ("service.commands.watching", ("alembic", "fastapi", "argon2", "segno", "plotly")),
    ],
)
def test_a_process_loads_nothing_that_it_does_not_need(
    module: str, not_needed: tuple[str, ...]
) -> None:
    """Each of them runs for years on a machine with little memory."""
    asked = (
        f"import sys, service.__main__, {module}\n"
        f"print(*[name for name in {not_needed!r} if name in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert told.stdout.split() == []
