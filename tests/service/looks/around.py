"""A shed on a machine that is a folder tree, for the looks."""

from datetime import UTC, datetime
from pathlib import Path

from service.looks.surroundings import Surroundings
from service.machine.machine import Machine, nothing_known
from tests.service.shed_in_a_folder import CONFIGURATION, load

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def around(
    tmp_path: Path, *, deep: bool = False, configuration: str = CONFIGURATION
) -> Surroundings:
    settings = load(tmp_path / "data", configuration)
    return Surroundings(
        data=tmp_path / "data",
        settings=settings,
        faults=(),
        machine=Machine(root=tmp_path / "machine", kernel_clock=nothing_known),
        now=NOW,
        deep=deep,
    )
