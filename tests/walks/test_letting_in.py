"""Whole processes: the pages of a machine with a network, before and after there is a keeper."""

import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.needs import lacking
from tests.own_network import OwnNetwork, own_network
from tests.walks.running_shed import free_port

PASSWORD = "a few good words"

# Prints the status of an address, and what was said; asks from inside the network.
_ASK = """
import sys, urllib.request, urllib.error
try:
    answer = urllib.request.urlopen(sys.argv[1], timeout=3)
    print(answer.status, answer.read(300))
except urllib.error.HTTPError as error:
    print(error.code, error.read(300))
except OSError as error:
    print("nobody", error)
"""


@pytest.fixture
def network() -> Iterator[OwnNetwork]:
    with own_network() as found:
        if found is None:
            lacking("a network of its own (unshare, nsenter, ip)", "walks")
        yield found


@contextmanager
def pages(network: OwnNetwork, data: Path, port: int) -> Iterator[Path]:
    """The pages in that network, told by the file to listen on all addresses; their console."""
    data.mkdir(exist_ok=True)
    (data / "clutchweather.toml").write_text('[pages]\nbind = "0.0.0.0"\n')
    console = data / "console.txt"
    command = [*network.prefix, sys.executable, "-m", "service", "pages", "--data", str(data)]
    with console.open("w") as out:
        running = subprocess.Popen([*command, "--port", str(port)], stdout=out, stderr=out)
        try:
            yield console
        finally:
            running.send_signal(signal.SIGTERM)
            assert running.wait(20) == 0


def ask(network: OwnNetwork, address: str) -> str:
    command = [*network.prefix, sys.executable, "-c", _ASK, address]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def soon(claim: Callable[[], bool], within_s: float) -> bool:
    deadline = time.monotonic() + within_s
    while time.monotonic() < deadline:
        if claim():
            return True
        time.sleep(0.2)
    return False


def make_keeper(data: Path, password: str = PASSWORD) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "service", "keeper", "Mara", "--data", str(data)],
        input=f"{password}\n{password}\n",
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_network_is_let_in_once_there_is_a_keeper_and_not_before(
    network: OwnNetwork, tmp_path: Path
) -> None:
    data, port = tmp_path / "shed", free_port()
    here, beyond = f"http://127.0.0.1:{port}", f"http://{network.address}:{port}"
    with pages(network, data, port) as console:
        assert soon(lambda: ask(network, f"{here}/health").startswith("503"), 30)
        assert ask(network, f"{beyond}/health").startswith("nobody")
        assert re.search(r"with this code: \w{4}-\w{4}-\w{4}-\w{4}", console.read_text())
        made = make_keeper(data)
        assert made.stdout == "Mara is a keeper now.\n"
        assert soon(lambda: ask(network, f"{beyond}/health").startswith("503"), 8)
        # All addresses are served by one server, and loopback still by its own.
        assert ask(network, f"{here}/health").startswith("503")
        assert "Sign in" in ask(network, f"{beyond}/nests")
        assert ask(network, f"{beyond}/api/latest").startswith("401")


def test_a_forgotten_password_is_replaced_at_the_machine(tmp_path: Path) -> None:
    data = tmp_path / "shed"
    data.mkdir()
    assert make_keeper(data).returncode == 0
    again = make_keeper(data, "some other good words")
    assert again.returncode == 0
    assert "Mara, keeper, has a new password" in again.stdout
    short = make_keeper(data, "short")
    assert short.returncode == 2
    assert "at least 10" in short.stderr
