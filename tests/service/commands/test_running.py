"""watch follows the broker to where it is."""

from pathlib import Path

import pytest

from service.commands.keeping_alive import Child
from service.commands.running import Following
from service.intake.broker_standing import BrokerStanding, write_standing


class CountingChild(Child):
    """Counts how often it was to start anew."""

    def __init__(self) -> None:
        super().__init__("watch", ["--help"])
        self.anew = 0

    def start_anew(self) -> None:
        self.anew += 1
        super().start_anew()


@pytest.fixture
def watch() -> CountingChild:
    return CountingChild()


def test_watch_is_left_alone_while_the_broker_is_where_it_looks_first(
    tmp_path: Path, watch: CountingChild
) -> None:
    follow = Following(tmp_path, watch, lambda _words: None)
    follow.look()
    write_standing(tmp_path, BrokerStanding(words="", host="127.0.0.1", port=1883))
    follow.look()
    write_standing(tmp_path, BrokerStanding(words="It is being started."))
    follow.look()
    assert watch.anew == 0


def test_watch_goes_to_a_broker_that_is_elsewhere_once(
    tmp_path: Path, watch: CountingChild
) -> None:
    said: list[str] = []
    follow = Following(tmp_path, watch, said.append)
    write_standing(tmp_path, BrokerStanding(words="", host="127.0.0.1", port=1884))
    follow.look()
    follow.look()
    assert watch.anew == 1
    assert "port 1884" in said[0]
