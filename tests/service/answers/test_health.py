"""Clock, disk and backup in the answer to ``health``: known, or null."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from service.answers.health import health
from service.backup.making import make_backup
from service.machine.machine import Machine, nothing_known
from tests.service.backup.kept_shed import filled_shed
from tests.service.shed_in_a_folder import load


def machine(folder: Path) -> Machine:
    return Machine(root=folder / "machine", kernel_clock=nothing_known)


def test_what_is_not_known_is_null(tmp_path: Path) -> None:
    data = tmp_path / "data"
    told = health(None, load(data), pages=None, data=data, machine=machine(tmp_path))
    assert (told["clock_trusted"], told["backup_age_h"]) == (None, None)


def test_the_clock_is_trusted_once_network_time_has_set_it(tmp_path: Path) -> None:
    data = tmp_path / "data"
    synchronised = tmp_path / "machine/run/systemd/timesync/synchronized"
    synchronised.parent.mkdir(parents=True)
    before = health(None, load(data), pages=None, data=data, machine=machine(tmp_path))
    synchronised.touch()
    after = health(None, load(data), pages=None, data=data, machine=machine(tmp_path))
    assert (before["clock_trusted"], after["clock_trusted"]) == (False, True)


@pytest.mark.parametrize(
    ("hours", "expected"), [(0, 0.0), (5, 5.0), (50, 50.0)], ids=["now", "five", "fifty"]
)
def test_the_age_of_the_backup_is_told_in_hours(
    tmp_path: Path, hours: int, expected: float
) -> None:
    data = filled_shed(tmp_path / "data")
    here = machine(tmp_path)
    make_backup(data, now=here.now() - timedelta(hours=hours))
    told = health(None, load(data), pages=None, data=data, machine=here)
    assert told["backup_age_h"] == pytest.approx(expected, abs=0.1)


def test_a_backup_that_is_still_to_come_has_no_age(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    here = machine(tmp_path)
    make_backup(data, now=here.now() + timedelta(days=1))
    told = health(None, load(data), pages=None, data=data, machine=here)
    assert told["backup_age_h"] is None


def test_free_room_is_that_of_the_disk(tmp_path: Path) -> None:
    data = tmp_path / "data"
    told = health(None, load(data), pages=None, data=data, machine=machine(tmp_path))
    assert told["disk_free_mb"] == pytest.approx(shutil.disk_usage(tmp_path).free / 1e6, rel=0.05)
