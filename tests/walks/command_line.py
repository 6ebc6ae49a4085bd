"""Runs the command line as a person or a script does: as a process of its own."""

import json
import subprocess
import sys
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from devices.formats.senml import pack
from service.__main__ import app
from tests.service.shed_in_a_folder import CONFIGURATION

EVENING = datetime(2026, 3, 1, 20, 0, tzinfo=UTC)
"""Half past eight in the shed's zone would be 19:30; the lamps are dark by then."""


def run(*arguments: object) -> subprocess.CompletedProcess[str]:
    """``clutchweather`` with these arguments, to its end."""
    return subprocess.run(
        [sys.executable, "-m", "service", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def shown(what: str, data: Path, *more: object) -> Any:
    """The answer of ``show … --json``: the command itself, in this process.

    It is asked again and again until something has come; a process takes a second to begin.
    """
    arguments = ["show", what, "--data", data, "--json", *more]
    done = CliRunner().invoke(app, [str(one) for one in arguments], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return json.loads(done.stdout)


def line(at: datetime, topic: str, payload: bytes | str, **more: object) -> str:
    """One line of a recording."""
    text = payload if isinstance(payload, str) else payload.decode()
    told = at.isoformat().replace("+00:00", "Z")
    return json.dumps({"t": told, "topic": topic, "payload": text, **more})


def night_lines(hours: int = 12) -> Iterable[str]:
    """A night that falls below 5 °C after four hours, once a minute; the box is silent."""
    for minute in range(hours * 60):
        at = EVENING + timedelta(minutes=minute)
        celsius = 4.0 if 240 <= minute < 480 else 8.0
        damp = 70.0 - (minute % 2) / 5.0  # air is never quite still: a flat line is a stuck sensor
        measured = {"temperature": (celsius, "Cel"), "relative_humidity": (damp, "%RH")}
        yield line(at, "clutchweather/th-shed/senml", pack("th-shed", measured, at))


def recording(folder: Path, lines: Iterable[str], name: str = "feed.jsonl") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / name
    file.write_text("\n".join(lines) + "\n")
    return file


def data_folder(folder: Path, configuration: str = CONFIGURATION) -> Path:
    """A data folder with a configuration in it."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "clutchweather.toml").write_text(configuration)
    return folder
