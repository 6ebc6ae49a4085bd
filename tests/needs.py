"""What a group of tests needs from the machine, and what happens when it is not there."""

import os
import shutil
from pathlib import Path

import pytest

# Servers stand in /usr/sbin, which is not on the path of an ordinary user.
_PATH = os.pathsep.join([os.environ.get("PATH", ""), "/usr/sbin", "/sbin"])


def need(program: str, group: str) -> Path:
    """Where ``program`` stands.

    Without it the tests of ``group`` are skipped by name; where ``CI`` is set they fail,
    because there nobody would notice that they did not run.
    """
    found = shutil.which(program, path=_PATH)
    if found is not None:
        return Path(found)
    missing = f"{group}: {program} is not installed (./tests/run --install brings it)"
    if os.environ.get("CI"):
        pytest.fail(missing, pytrace=False)
    pytest.skip(missing)
