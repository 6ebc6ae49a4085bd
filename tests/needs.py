"""What a group of tests needs from the machine, and what happens when it is not there."""

import os
import shutil
from pathlib import Path
from typing import NoReturn

import pytest

# Servers stand in /usr/sbin, which is not on the path of an ordinary user.
_PATH = os.pathsep.join([os.environ.get("PATH", ""), "/usr/sbin", "/sbin"])


def need(program: str, group: str) -> Path:
    """Where ``program`` stands.

    Without it the tests of ``group`` are skipped by name; where ``CI`` is set they fail,
    because there nobody would notice that they did not run.
    """
    found = shutil.which(program, path=_PATH)
    if found is None:
        lacking(program, group)
    return Path(found)


def lacking(part: str, group: str) -> NoReturn:
    """Skip, or fail where ``CI`` is set, for want of something that ``group`` needs."""
    missing = f"{group}: {part} is not installed (./tests/run --install brings it)"
    if os.environ.get("CI"):
        pytest.fail(missing, pytrace=False)
    pytest.skip(missing)
