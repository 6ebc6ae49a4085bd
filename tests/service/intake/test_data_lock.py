"""One copy in one data folder."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from service.errors import AlreadyRunningError
from service.intake.data_lock import DataLock

HOLDER = (
    "import sys, time; from pathlib import Path; from service.intake.data_lock import DataLock; "
    "lock = DataLock(Path(sys.argv[1])); print('held', flush=True); time.sleep(60)"
)


def test_a_second_copy_is_refused_and_told_who_holds_the_folder(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        try:
            with pytest.raises(AlreadyRunningError) as refused:
                DataLock(tmp_path)
            assert f"process {holder.pid}" in str(refused.value)
            assert str(tmp_path) in str(refused.value)
        finally:
            holder.send_signal(signal.SIGKILL)


def test_a_killed_holder_leaves_the_folder_free(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()
        holder.kill()
    DataLock(tmp_path).release()


def test_a_released_folder_can_be_taken_again(tmp_path: Path) -> None:
    with DataLock(tmp_path / "data"):
        pass
    with DataLock(tmp_path / "data") as again, pytest.raises(AlreadyRunningError):
        DataLock(again.path.parent)
