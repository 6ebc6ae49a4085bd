"""The standing of the broker, written by one process and read by others."""

from pathlib import Path

import pytest

from service.intake.broker_address import BrokerAddress
from service.intake.broker_standing import (
    BrokerStanding,
    broker_in_force,
    read_standing,
    standing_file,
    write_standing,
)

NAMED = BrokerAddress(host="10.0.0.7", username="keeper")
OWN = BrokerStanding(
    words="It runs.",
    host="127.0.0.1",
    port=1884,
    ours=True,
    reached_at=("192.0.2.7",),
    tls_port=8883,
)


def test_what_was_written_is_read(tmp_path: Path) -> None:
    write_standing(tmp_path, OWN)
    assert read_standing(tmp_path) == OWN


@pytest.mark.parametrize("written", ["", "{}", "[]", "null", '{"words": "a", "strange": 1}', "{"])
def test_a_file_that_makes_no_sense_tells_nothing(tmp_path: Path, written: str) -> None:
    standing_file(tmp_path).parent.mkdir()
    standing_file(tmp_path).write_text(written)
    assert read_standing(tmp_path) is None


def test_a_broker_that_the_keeper_named_is_the_one(tmp_path: Path) -> None:
    write_standing(tmp_path, OWN)
    assert broker_in_force(NAMED, tmp_path, told=True) == NAMED


def test_without_a_named_one_the_one_that_runs_is_the_one(tmp_path: Path) -> None:
    write_standing(tmp_path, OWN)
    assert broker_in_force(NAMED, tmp_path, told=False) == BrokerAddress(
        host="127.0.0.1", port=1884
    )


@pytest.mark.parametrize("standing", [None, BrokerStanding(words="There is none.")])
def test_while_there_is_none_the_usual_address_is_tried(
    tmp_path: Path, standing: BrokerStanding | None
) -> None:
    if standing is not None:
        write_standing(tmp_path, standing)
    assert broker_in_force(BrokerAddress(), tmp_path, told=False) == BrokerAddress()
