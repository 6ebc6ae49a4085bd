"""The demonstration as a person starts it: it tells its addresses, and they answer as promised."""

import json
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.listening import wait_until
from tests.walks.running_shed import free_port

pytestmark = pytest.mark.broker

# Two idle cores need some fifteen seconds; where much else runs beside it, several times that.
WITHIN_S = 120.0


class Demo:
    """A demonstration that runs; what it said is in a file."""

    def __init__(self, folder: Path, scenario: str) -> None:
        self.port = free_port()
        self.folder = folder / "shed"
        self.said = folder / "said.txt"
        self.answered_when_told = False
        command = ["demo", "--port", str(self.port), "--data", str(self.folder)]
        with self.said.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "service", *command, "--scenario", scenario],
                stdout=out,
                stderr=subprocess.STDOUT,
            )

    def has_told(self) -> bool:
        assert self.process.poll() is None, self.said.read_text()
        return "Stop with Ctrl-C." in self.said.read_text()

    def asked(self, what: str) -> Any:
        address = f"http://127.0.0.1:{self.port}/api/{what}"
        with urllib.request.urlopen(address, timeout=20) as answer:
            return json.loads(answer.read())

    def answers(self) -> bool:
        try:
            return bool(self.asked("latest"))
        except OSError:
            return False

    def end(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(30)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    running = Demo(tmp_path_factory.mktemp("demo"), "season")
    try:
        wait_until(running.has_told, within=WITHIN_S)
        running.answered_when_told = running.answers()
        wait_until(running.answers, within=30)
        yield running
    finally:
        if running.process.poll() is None:
            running.process.kill()
            running.process.wait()


def test_demo_tells_where_its_pages_are(demo: Demo) -> None:
    told = demo.said.read_text()
    assert f"http://127.0.0.1:{demo.port}/wall" in told
    assert "nothing in it is real" in told


def test_pages_answer_as_soon_as_their_addresses_are_told(demo: Demo) -> None:
    assert demo.answered_when_told


def test_nests_of_the_demo_are_as_its_story_promises(demo: Demo) -> None:
    nests = {one["box"]: one for one in demo.asked("nests")}
    lying = {box: (one["eggs"] - one["hatched"], one["chicks"]) for box, one in nests.items()}
    stages = {box: one["stage"] for box, one in nests.items()}
    assert (stages["box-1"], nests["box-1"]["chicks"]) == ("rearing", 4)
    assert (stages["box-2"], nests["box-2"]["next"]["what"]) == ("sitting", "hatch")
    assert (stages["box-3"], nests["box-3"]["next"]["what"]) == ("laying", "next egg")
    assert (stages["box-4"], lying["box-4"][1]) == ("hatching", 2)
    assert stages["box-5"] == "paired up"


def test_the_past_of_the_demo_holds_one_cold_and_one_damp_night_and_no_other_alarm(
    demo: Demo,
) -> None:
    assert sorted(alarm["rule"] for alarm in demo.asked("alarms")) == ["cold-night", "damp"]


def test_the_past_of_the_demo_has_a_night_for_each_evening(demo: Demo) -> None:
    nights = demo.asked("nights")
    assert len(nights) >= 21
    assert sum(night["hours_below"]["5.0"] > 0 for night in nights) == 1


def test_the_outlook_of_the_demo_has_learned_from_its_past(demo: Demo) -> None:
    told = demo.asked("outlook")
    # A night's edge may lie on either side of its beginning.
    assert told["nights_used"] >= 19
    assert "not enough nights yet" not in told["reasons"]


def test_demo_ends_in_order_when_it_is_told_to(demo: Demo) -> None:
    # The last of this file: nobody asks the demonstration anything after it.
    assert demo.end() == 0
