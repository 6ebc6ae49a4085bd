"""./service/start and ./tests/run, with a small stand-in for Python and what pip would fetch.

The scripts are copied into a repository of their own. The stand-in answers the calls that the
scripts make of Python: its version, ``-m venv``, ``-m pip``, ``-m pytest``.
"""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.needs import need

ROOT = Path(__file__).parent.parent
SCRIPTS = ["service/start", "service/venv.sh", "tests/run", ".ci/run"]
TOOLS = [
    *("sh", "env", "cat", "cksum", "dirname", "flock", "grep", "id", "kill", "readlink", "rm"),
    *("mkdir", "cp", "chmod", "sed", "sleep", "tail"),
]

STAND_IN = """#!/bin/sh
# What the scripts ask of Python. CALLS holds one line for each venv made and each pip install.
case "$*" in
    --version) echo "Python ${FAKE_VERSION:-3.11.9}" ;;
    *version_info*) [ -z "${FAKE_VERSION:-}" ] ;;
    *ensurepip*) [ -z "${FAKE_WITHOUT_VENV:-}" ] ;;
    "-m venv --clear "*)
        echo venv >>"$CALLS"
        rm -rf "$4"
        mkdir -p "$4/bin" && cp "$0" "$4/bin/python" && echo "#!$4/bin/python" >"$4/bin/pip" ;;
    "-m pip --version") ;;
    "-m pip install "*)
        echo pip >>"$CALLS"
        sleep "${FAKE_PIP_SECONDS:-0}"
        if [ -n "${FAKE_PIP_FAULT:-}" ]; then echo "$FAKE_PIP_FAULT"; exit 1; fi
        for tool in clutchweather ruff mypy lint-imports; do
            { echo '#!/bin/sh'
              echo "printf '%s' $tool; printf ' <%s>' \\"\\$@\\"; echo"
              echo "[ \\"\\${FAKE_FAILING:-}\\" != $tool ]"
            } >"${0%/*}/$tool"
            chmod +x "${0%/*}/$tool"
        done ;;
    "-m pytest"*)
        shift 2
        printf pytest; printf ' <%s>' "$@"; echo ;;
    *) echo "not expected: $*" >&2; exit 9 ;;
esac
"""


class Repository:
    """A copy of the scripts, with a PATH that holds the stand-in and little else."""

    def __init__(self, folder: Path) -> None:
        self.root = folder / "the shed"
        for script in SCRIPTS:
            (self.root / script).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / script, self.root / script)
        (self.root / "pyproject.toml").write_text("[project]\n")
        self.bin = folder / "bin"
        self.bin.mkdir()
        for tool in TOOLS:
            found = shutil.which(tool)
            assert found is not None, tool
            (self.bin / tool).symlink_to(found)
        self.add_program("python3", STAND_IN)
        self.calls_file = folder / "calls"
        self.elsewhere = folder / "elsewhere"
        self.elsewhere.mkdir()

    def add_program(self, name: str, text: str) -> None:
        # Never through a link: it leads to the program of the real system.
        (self.bin / name).unlink(missing_ok=True)
        (self.bin / name).write_text(text)
        (self.bin / name).chmod(0o755)

    def calls(self) -> list[str]:
        return self.calls_file.read_text().split() if self.calls_file.exists() else []

    def begin(self, script: Path, *args: str, **fakes: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [script, *args],
            cwd=self.elsewhere,
            env={"PATH": str(self.bin), "CALLS": str(self.calls_file), **fakes},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, script: str | Path, *args: str, **fakes: str) -> tuple[int, str, str]:
        running = self.begin(self.root / script, *args, **fakes)
        out, err = running.communicate(timeout=60)
        return running.returncode, out, err


@pytest.fixture
def repository(tmp_path: Path) -> Repository:
    return Repository(tmp_path)


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_script_is_good_shell(script: str) -> None:
    subprocess.run(["sh", "-n", ROOT / script], check=True)


@pytest.mark.parametrize("script", ["service/start", "tests/run", ".ci/run"])
def test_a_script_may_be_run(script: str) -> None:
    assert os.access(ROOT / script, os.X_OK)


def test_start_runs_the_command_from_another_folder(repository: Repository) -> None:
    assert repository.run("service/start", "show", "two words", "*")[:2] == (
        0,
        "clutchweather <show> <two words> <*>\n",
    )


def test_start_without_arguments_is_up(repository: Repository) -> None:
    assert repository.run("service/start")[1] == "clutchweather <up>\n"


def test_start_works_through_a_link(repository: Repository) -> None:
    link = repository.elsewhere / "start"
    link.symlink_to(repository.root / "service" / "start")
    assert repository.run(link, "demo")[1] == "clutchweather <demo>\n"


def test_start_tells_each_step_once_and_nothing_when_all_is_ready(repository: Repository) -> None:
    first = repository.run("service/start")[2]
    again = repository.run("service/start")[2]
    assert "Making the virtual environment" in first
    assert "Installing what the project needs" in first
    assert again == ""
    assert repository.calls() == ["venv", "pip"]


def test_start_installs_again_when_the_project_file_has_changed(repository: Repository) -> None:
    repository.run("service/start")
    (repository.root / "pyproject.toml").write_text("[project]\nname = 'more'\n")
    repository.run("service/start")
    assert repository.calls() == ["venv", "pip", "pip"]


def test_start_passes_the_exit_status_on(repository: Repository) -> None:
    assert repository.run("service/start", FAKE_FAILING="clutchweather")[0] == 1


def test_start_says_which_python_is_too_old(repository: Repository) -> None:
    status, out, err = repository.run("service/start", FAKE_VERSION="3.9.2")
    assert status == 1
    assert out == ""
    assert "Python 3.11 or newer is needed" in err
    assert "python3 is Python 3.9.2" in err


def test_start_says_that_there_is_no_python(repository: Repository) -> None:
    (repository.bin / "python3").unlink()
    status, _, err = repository.run("service/start")
    assert status == 1
    assert "there is no python3 here" in err


def test_start_takes_a_newer_python_beside_an_old_one(repository: Repository) -> None:
    repository.add_program("python3.12", STAND_IN)
    repository.add_program("python3", '#!/bin/sh\n[ "$1" = --version ] && echo Python 3.9.2\n')
    assert repository.run("service/start")[1] == "clutchweather <up>\n"


def test_start_names_the_debian_package_of_a_missing_venv_module(repository: Repository) -> None:
    status, _, err = repository.run("service/start", FAKE_WITHOUT_VENV="yes")
    assert status == 1
    assert "sudo apt-get install python3-venv" in err


def test_a_failed_install_is_told_and_tried_again(repository: Repository) -> None:
    status, out, err = repository.run("service/start", FAKE_PIP_FAULT="ERROR: no route to host")
    assert status == 1
    assert out == ""
    assert "ERROR: no route to host" in err
    assert "Installing failed" in err
    assert repository.run("service/start")[:2] == (0, "clutchweather <up>\n")


def test_a_failed_install_after_a_good_one_is_not_taken_for_done(repository: Repository) -> None:
    repository.run("service/start")
    (repository.root / "pyproject.toml").write_text("[project]\nname = 'more'\n")
    for _ in range(2):
        status, out, _ = repository.run("service/start", FAKE_PIP_FAULT="ERROR: disk full")
        assert (status, out) == (1, "")


def test_a_venv_with_half_an_update_is_not_taken_for_the_old_one(repository: Repository) -> None:
    repository.run("service/start")
    project = repository.root / "pyproject.toml"
    before = project.read_text()
    project.write_text("[project]\nname = 'more'\n")
    repository.run("service/start", FAKE_PIP_FAULT="ERROR: disk full")
    project.write_text(before)
    repository.run("service/start")
    assert repository.calls() == ["venv", "pip", "pip", "pip"]


def test_a_venv_that_was_cut_off_while_installing_is_made_anew(repository: Repository) -> None:
    repository.run("service/start")
    (repository.root / ".venv" / "installed").unlink()
    (repository.root / ".venv" / "installing").touch()
    assert repository.run("service/start")[0] == 0
    assert repository.calls() == ["venv", "pip", "venv", "pip"]


def test_a_venv_without_its_python_is_made_anew(repository: Repository) -> None:
    repository.run("service/start")
    (repository.root / ".venv" / "bin" / "python").unlink()
    assert repository.run("service/start")[0] == 0
    assert repository.calls() == ["venv", "pip", "venv", "pip"]


def test_a_venv_that_was_moved_is_made_anew(repository: Repository) -> None:
    repository.run("service/start")
    repository.root = repository.root.rename(repository.root.with_name("moved"))
    assert repository.run("service/start")[0] == 0
    assert repository.calls() == ["venv", "pip", "venv", "pip"]


def test_two_starts_at_once_install_once(repository: Repository) -> None:
    start = repository.root / "service" / "start"
    both = [repository.begin(start, FAKE_PIP_SECONDS="1") for _ in range(2)]
    told = [one.communicate(timeout=60) for one in both]
    assert [out for out, _ in told] == ["clutchweather <up>\n"] * 2
    assert "Another start is installing" in told[0][1] + told[1][1]
    assert repository.calls() == ["venv", "pip"]


def test_a_start_after_a_test_run_installs_nothing(repository: Repository) -> None:
    repository.run("tests/run")
    repository.run("service/start")
    assert repository.calls() == ["venv", "pip"]


def test_a_test_run_after_a_start_installs_what_tests_need(repository: Repository) -> None:
    repository.run("service/start")
    repository.run("tests/run")
    assert repository.calls() == ["venv", "pip", "pip"]


def test_run_runs_all_gates_and_pytest_last(repository: Repository) -> None:
    status, out, _ = repository.run("tests/run", "-k", "two words")
    assert status == 0
    assert out.splitlines() == [
        "ruff <format> <--check>",
        "ruff <check>",
        "mypy <>",
        "lint-imports <>",
        "pytest <-n> <auto> <--dist> <loadfile> <--no-loadscope-reorder> <-k> <two words>",
    ]


@pytest.mark.parametrize(("tool", "gate"), [("mypy", "mypy"), ("lint-imports", "import-linter")])
def test_run_runs_all_gates_when_one_fails_and_fails(
    repository: Repository, tool: str, gate: str
) -> None:
    status, out, err = repository.run("tests/run", FAKE_FAILING=tool)
    assert status == 1
    assert out.splitlines()[-1].startswith("pytest")
    assert f"FAILED  {gate}" in err
    assert "ok      pytest" in err


def test_run_goes_on_when_it_may_not_install_packages(repository: Repository) -> None:
    repository.add_program("id", "#!/bin/sh\n[ $1 = -u ] && echo 1000 || echo keeper\n")
    repository.add_program("sudo", "#!/bin/sh\nexit 1\n")
    repository.add_program("apt-get", "#!/bin/sh\necho apt-get was called\n")
    # No test may look into the folders of the real system for a program that is "missing".
    run = repository.root / "tests" / "run"
    run.write_text(run.read_text().replace(":/usr/sbin:/sbin", ""))
    status, out, err = repository.run("tests/run", "--install")
    assert status == 0
    assert "keeper may not install packages" in err
    assert "sudo apt-get install mosquitto mosquitto-clients chromium" in err
    assert "apt-get was called" not in out + err


def test_run_installs_what_is_missing_as_root(repository: Repository) -> None:
    repository.add_program("id", "#!/bin/sh\necho 0\n")
    repository.add_program("apt-get", "#!/bin/sh\nprintf '<%s>' apt-get \"$@\"; echo\n")
    repository.add_program("mosquitto", "#!/bin/sh\n")
    status, _, err = repository.run("tests/run", "--install")
    assert status == 0
    assert "<apt-get><update>" in err
    assert "<mosquitto-clients><chromium>" in err
    assert "<mosquitto>" not in err


def test_ci_run_is_a_test_run_that_installs(repository: Repository) -> None:
    status, out, err = repository.run(".ci/run")
    assert status == 0
    assert "Not a Debian system" in err
    assert out.splitlines()[-1] == "pytest <-n> <auto> <--dist> <loadfile> <--no-loadscope-reorder>"


def test_need_finds_a_program() -> None:
    assert need("sh", "shell").name == "sh"


def test_need_skips_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="broker tests: no-such-broker"):
        need("no-such-broker", "broker tests")


def test_need_fails_where_ci_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="broker tests: no-such-broker"):
        need("no-such-broker", "broker tests")
