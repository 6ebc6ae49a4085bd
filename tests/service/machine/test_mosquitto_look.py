"""Which listeners let strangers in: mosquitto.conf(5), and mosquitto itself."""

from pathlib import Path

import pytest

from service.intake.mqtt_finding import Answer, look_for_broker
from service.machine.finding import State
from service.machine.mosquitto_look import look_at_mosquitto, open_listeners
from tests.broker_fixture import running_broker
from tests.service.machine.machines import machine


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", []),
        ("allow_anonymous true", []),  # no listener: its own machine only
        ("listener 1883\nallow_anonymous true", ["listener 1883"]),
        ("allow_anonymous true\nlistener 1883", ["listener 1883"]),
        ("listener 1883 127.0.0.1\nallow_anonymous true", []),
        ("listener 1883 ::1\nallow_anonymous true", []),
        ("listener 1883 localhost\nallow_anonymous true", []),
        ("listener 0 /run/mosquitto.sock\nallow_anonymous true", []),
        ("listener 1883 192.168.1.5\nallow_anonymous true", ["listener 1883 192.168.1.5"]),
        ("listener 1883\nallow_anonymous false", []),
        ("listener 1883", []),  # since version 2.0 false is the default
        ("# allow_anonymous true\nlistener 1883", []),
        ("port 1883\nallow_anonymous true", ["port 1883"]),
        ("port 1883\nbind_address 127.0.0.1\nallow_anonymous true", []),
        (
            "per_listener_settings true\nlistener 1884 127.0.0.1\nallow_anonymous true\n"
            "listener 1883\nallow_anonymous false",
            [],
        ),
        (
            "per_listener_settings true\nlistener 1884 127.0.0.1\nallow_anonymous false\n"
            "listener 1883\nallow_anonymous true",
            ["listener 1883"],
        ),
    ],
)
def test_open_listeners_are_found(text: str, expected: list[str]) -> None:
    assert open_listeners(text.splitlines()) == expected


@pytest.mark.broker
def test_a_broker_that_lets_in_this_machine_alone_is_not_told(tmp_path: Path) -> None:
    """A real one with the words that are looked for, and an address of this machine."""
    with running_broker(tmp_path / "broker", "persistence false\n") as broker:
        assert look_for_broker("127.0.0.1", broker.port).answer is Answer.LETS_US_IN
        lines = (tmp_path / "broker/broker.conf").read_text().splitlines()
        assert "allow_anonymous true" in lines
        assert open_listeners(lines) == []


def test_an_open_broker_is_told(tmp_path: Path) -> None:
    here = machine(
        tmp_path,
        {
            "etc/mosquitto/mosquitto.conf": "include_dir /etc/mosquitto/conf.d\n",
            "etc/mosquitto/conf.d/all.conf": "listener 1883\nallow_anonymous true\n",
        },
    )
    found = look_at_mosquitto(here, [])
    assert found is not None
    assert found.state is State.LOOK


def test_without_a_mosquitto_it_does_not_apply(tmp_path: Path) -> None:
    assert look_at_mosquitto(machine(tmp_path), [tmp_path / "none.conf"]) is None


def test_our_own_broker_is_looked_at_too(tmp_path: Path) -> None:
    ours = tmp_path / "mosquitto.conf"
    ours.write_text("listener 1883\nallow_anonymous true\n")
    found = look_at_mosquitto(machine(tmp_path / "machine"), [ours])
    assert found is not None
    assert found.state is State.LOOK
