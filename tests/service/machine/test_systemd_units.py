"""The units, judged by systemd's own programs."""

import subprocess
import sys
from pathlib import Path

import pytest

from service.machine.systemd_units import ENABLED, PROGRAM, unit_files
from tests.needs import need

SERVICES = ("watch", "pages", "backup")


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """All units in a folder; the program is one that this machine has."""
    for name, text in unit_files("clutchweather").items():
        if name.suffix in {".service", ".timer", ".path"}:
            (tmp_path / name.name).write_text(text.replace(PROGRAM, "/bin/true"))
    return tmp_path


@pytest.mark.parametrize("service", SERVICES)
def test_a_unit_is_exposed_by_three_at_most(written: Path, service: str) -> None:
    """Source: systemd-analyze(1), "security": 30 stands for an exposure of 3.0."""
    program = need("systemd-analyze", "units")
    file = written / f"clutchweather-{service}.service"
    done = subprocess.run(
        [program, "security", "--offline=true", "--threshold=30", "--no-pager", file],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Overall exposure level" in done.stdout


def test_systemd_understands_every_unit(written: Path) -> None:
    """Source: systemd-analyze(1), "verify", which tells of every unknown word."""
    program = need("systemd-analyze", "units")
    files = sorted(written.iterdir())
    done = subprocess.run([program, "verify", *files], capture_output=True, text=True, check=False)
    ours = [line for line in done.stderr.splitlines() if "clutchweather" in line]
    assert ours == []
    assert done.returncode == 0, done.stderr


def test_what_is_enabled_is_there_and_can_be_enabled() -> None:
    files = {name.name: text for name, text in unit_files("clutchweather").items()}
    for name in ENABLED:
        assert "[Install]" in files[name]


def test_both_look_for_the_sign_of_life_in_one_folder_that_outlives_either() -> None:
    files = {name.name: text for name, text in unit_files("keeper").items()}
    for service in ("watch", "pages"):
        text = files[f"clutchweather-{service}.service"]
        assert "RuntimeDirectory=clutchweather\n" in text
        assert "RuntimeDirectoryPreserve=yes\n" in text
        assert "User=keeper\n" in text
        assert "StartLimitIntervalSec=0\n" in text
        assert "Restart=always\n" in text


@pytest.mark.parametrize("module", ["service.commands.watching", "service.commands.serving"])
def test_the_program_runs_where_memory_is_never_both_written_and_run(module: str) -> None:
    """MemoryDenyWriteExecute, by the kernel's own means: prctl(2), PR_SET_MDWE."""
    forbid = (
        "import ctypes, os, sys; done = ctypes.CDLL(None).prctl(65, 1, 0, 0, 0)\n"
        "print('not here') if done "
        "else os.execv(sys.executable, [sys.executable, '-c', sys.argv[1]])"
    )
    use = f"import ctypes, argon2, {module}; print(argon2.PasswordHasher().hash('x')[:9])"
    done = subprocess.run(
        [sys.executable, "-c", forbid, use], check=False, capture_output=True, text=True, timeout=60
    )
    if done.stdout.strip() == "not here":
        pytest.skip("this kernel knows no PR_SET_MDWE (Linux 6.3 and newer do)")
    assert done.stdout.strip() == "$argon2id", done.stderr
