"""How a listener's situation is told; two listeners of one name."""

from dataclasses import replace

import pytest

from service.intake.liveness import (
    ConnectCounter,
    ListenerState,
    Patience,
    Situation,
    Standing,
    liveness_of,
)

WELL = Situation(
    broker="shed-pi:1883",
    stopped=False,
    moves=True,
    has_room=True,
    two_copies=False,
    trouble="",
    entry_refused=False,
    standing=Standing(
        version="MQTT 5",
        subscribed=True,
        refused={},
        canary_refused=False,
        welcomed_at=100.0,
        last_packet=1000.0,
        canary_back=1000.0,
    ),
)
PATIENCE = Patience(silent_after=45, canary_every=10)
assert WELL.standing is not None
STANDING = WELL.standing


def test_a_broker_that_was_heard_of_late_is_well() -> None:
    told = liveness_of(WELL, PATIENCE, now=1003.0)
    assert told.ok
    assert told.canary_age == 3.0
    assert told.text == "connected to shed-pi:1883 (MQTT 5)"


def test_a_broker_that_was_not_heard_for_45_s_is_not_connected() -> None:
    assert liveness_of(WELL, PATIENCE, now=1044.9).connected
    told = liveness_of(WELL, PATIENCE, now=1045.0)
    assert not told.connected
    assert "nothing heard from it for 45 s" in told.text


def test_a_listener_that_does_not_move_is_not_connected_whatever_the_connection_says() -> None:
    told = liveness_of(replace(WELL, moves=False), PATIENCE, now=1001.0)
    assert not told.connected
    assert told.text == "not listening: the listener does not move"


def test_a_refused_feed_is_connected_and_not_well() -> None:
    standing = replace(STANDING, refused={"shed/#": "not authorized"})
    told = liveness_of(replace(WELL, standing=standing), PATIENCE, now=1001.0)
    assert told.connected
    assert told.state is ListenerState.REFUSED
    assert not told.ok


@pytest.mark.parametrize(
    ("refused", "now", "doubted"),
    [
        pytest.param(False, 141.0, True, id="granted and away for four periods"),
        pytest.param(False, 139.0, False, id="granted and away for less"),
        pytest.param(True, 141.0, False, id="refused: none can come"),
    ],
)
def test_a_test_message_that_never_came_back_is_a_doubt(
    refused: bool, now: float, doubted: bool
) -> None:
    standing = replace(STANDING, canary_back=None, canary_refused=refused, last_packet=now)
    told = liveness_of(replace(WELL, standing=standing), PATIENCE, now)
    assert told.connected
    assert told.canary_age is None
    assert ("test message" in told.text) is doubted


def test_no_connection_tells_why() -> None:
    told = liveness_of(
        replace(WELL, standing=None, trouble="Connection refused"), PATIENCE, now=1001.0
    )
    assert told.state is ListenerState.CONNECTING
    assert not told.connected
    assert told.last_packet_monotonic is None
    assert told.text == "not connected to shed-pi:1883: Connection refused; trying again"


def test_a_full_hand_off_and_two_copies_are_told_beside_it() -> None:
    told = liveness_of(replace(WELL, has_room=False, two_copies=True), PATIENCE, now=1001.0)
    assert "not being stored" in told.text
    assert "two copies seem to be running" in told.text


def test_five_connects_in_a_minute_are_suspicious() -> None:
    counter = ConnectCounter()
    for now in (0, 15, 30, 45):
        counter.connected(now)
    assert not counter.two_copies_suspected(45)
    counter.connected(60)
    assert counter.two_copies_suspected(60)


def test_five_connects_in_more_than_a_minute_are_not() -> None:
    counter = ConnectCounter()
    for now in (0, 16, 31, 46, 61):
        counter.connected(now)
    assert not counter.two_copies_suspected(61)


def test_the_suspicion_is_kept_for_ten_minutes() -> None:
    counter = ConnectCounter()
    for now in range(5):
        counter.connected(now)
    assert counter.two_copies_suspected(603)
    assert not counter.two_copies_suspected(604)
