"""Where devices reach the broker, looked up when somebody asks."""

from pathlib import Path

from service.intake.broker_standing import BrokerStanding, write_standing
from service.machine.broker_reached import WHEREVER, standing_now


def test_a_broker_at_every_address_is_reached_at_those_of_now(tmp_path: Path) -> None:
    write_standing(tmp_path, BrokerStanding(words="It runs.", reached_at=(WHEREVER,)))
    now = [("192.0.2.7",), ("192.0.2.9", "198.51.100.2")]
    for addresses in tuple(now):
        standing = standing_now(tmp_path, lambda: now.pop(0))
        assert standing is not None
        assert standing.reached_at == addresses


def test_a_broker_at_some_addresses_is_left_as_it_was_told(tmp_path: Path) -> None:
    told = BrokerStanding(words="It runs.", reached_at=("192.0.2.7",))
    write_standing(tmp_path, told)
    assert standing_now(tmp_path, lambda: ("198.51.100.2",)) == told


def test_where_nothing_is_known_nothing_is_told(tmp_path: Path) -> None:
    assert standing_now(tmp_path) is None
