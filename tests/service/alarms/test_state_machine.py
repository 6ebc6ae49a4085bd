"""The states of an alarm."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.state_machine import (
    TABLE,
    AlarmEvent,
    acknowledge,
    next_state,
    on_clear,
    on_raise,
    on_return_of_another,
)
from service.rules.limit import Priority

T = datetime(2026, 3, 1, 22, 50, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
NORM, UNACK = AlarmState.NORMAL, AlarmState.UNACKNOWLEDGED
ACKED, RTNUN = AlarmState.ACKNOWLEDGED, AlarmState.RETURNED_UNACKNOWLEDGED
LUNACK, LACKED = AlarmState.LATCHED_UNACKNOWLEDGED, AlarmState.LATCHED_ACKNOWLEDGED
RAISE, CLEAR, ACK = AlarmEvent.RAISE, AlarmEvent.CLEAR, AlarmEvent.ACKNOWLEDGE
LATCH, RESET = AlarmEvent.CLEAR_LATCHING, AlarmEvent.RESET
AGAIN, FREE = AlarmEvent.RE_ALARM, AlarmEvent.UNSUPPRESS
OVER = (CLEAR, LATCH, AlarmEvent.CLEAR_SUPPRESSED)


def alarm(state: AlarmState = NORM) -> Alarm:
    return Alarm(
        id="0" * 32,
        rule="cold-night",
        place="shed",
        priority=Priority.HIGH,
        state=state,
        raised_at=T,
        value=4.2,
        setpoint=5.0,
        text="Shed 4.2°",
    )


# State names NORM, UNACK, ACKED, RTNUN of the state diagram of ISA-18.2 (IEC 62682): UNACK,
# RTNUN and NORM were read, the rest is from memory. That an alarm which clears before it was
# acknowledged goes UNACK, RTNUN, and by the acknowledgement NORM, is the diagram's point.
@pytest.mark.parametrize(
    ("state", "event", "after"),
    [
        (NORM, RAISE, UNACK),
        (NORM, CLEAR, NORM),
        (NORM, ACK, NORM),
        (UNACK, RAISE, UNACK),
        (UNACK, CLEAR, RTNUN),
        (UNACK, ACK, ACKED),
        (ACKED, RAISE, ACKED),
        (ACKED, CLEAR, NORM),
        (ACKED, ACK, ACKED),
        (RTNUN, RAISE, UNACK),
        (RTNUN, CLEAR, RTNUN),
        (RTNUN, ACK, NORM),
        # Re-alarm time: OPC 10000-9, annex B.1.5. Latching from memory.
        (ACKED, AGAIN, UNACK),
        (UNACK, LATCH, LUNACK),
        (ACKED, LATCH, LACKED),
        (LUNACK, ACK, LACKED),
        (LACKED, RESET, NORM),
        (LUNACK, RESET, RTNUN),
        (LACKED, RAISE, UNACK),
    ],
)
def test_each_event_leads_where_the_standard_says(
    state: AlarmState, event: AlarmEvent, after: AlarmState
) -> None:
    assert next_state(state, event) is after


def test_the_table_has_a_cell_for_every_state_and_event() -> None:
    assert set(TABLE) == {(state, event) for state in AlarmState for event in AlarmEvent}


@given(st.lists(st.sampled_from(AlarmEvent)))
def test_no_order_of_events_loses_a_danger_or_invents_one(events: list[AlarmEvent]) -> None:
    state, danger = NORM, False
    for event in events:
        state = next_state(state, event)
        danger = event is RAISE or (danger and event not in OVER)
        assert state.active is danger


@given(st.lists(st.sampled_from(AlarmEvent)))
def test_only_a_person_makes_an_alarm_acknowledged(events: list[AlarmEvent]) -> None:
    state, seen = NORM, True
    for event in events:
        was = state
        state = next_state(state, event)
        if event is RAISE and not was.active:
            seen = False
        if event is ACK:
            seen = True
        # What is told anew has to be seen anew, and what was never told needs nobody.
        seen = (seen and state is not UNACK) or state is NORM
        assert seen or state not in (ACKED, LACKED)


def test_an_alarm_that_clears_unseen_waits_to_be_acknowledged() -> None:
    raised = on_raise(alarm())
    assert raised.state is UNACK
    cleared = on_clear(raised, T + MINUTE)
    assert (cleared.state, cleared.cleared_at) == (RTNUN, T + MINUTE)
    seen = acknowledge(cleared, by="Ada", at=T + 2 * MINUTE)
    assert (seen.state, seen.acknowledged_by) == (NORM, "Ada")
    assert (seen.cleared_at, seen.acknowledged_at) == (T + MINUTE, T + 2 * MINUTE)


def test_an_acknowledged_alarm_that_clears_is_over() -> None:
    seen = acknowledge(alarm(UNACK), by=None, at=T + MINUTE)
    assert (seen.state, seen.acknowledged_at) == (ACKED, T + MINUTE)
    assert on_clear(seen, T + 2 * MINUTE).state is NORM


def test_one_that_nobody_saw_is_over_when_its_rule_is_breached_anew() -> None:
    returned = on_clear(alarm(UNACK), T + MINUTE)
    over = on_return_of_another(returned)
    assert (over.state, over.acknowledged_at) == (NORM, None)
    assert (over.raised_at, over.cleared_at) == (T, T + MINUTE)


@pytest.mark.parametrize("state", [UNACK, ACKED])
def test_an_active_alarm_is_not_over_when_its_rule_is_breached(state: AlarmState) -> None:
    assert on_return_of_another(alarm(state)) == alarm(state)


@pytest.mark.parametrize("state", [UNACK, ACKED])
def test_raising_an_active_alarm_changes_nothing(state: AlarmState) -> None:
    assert on_raise(alarm(state)) == alarm(state)


@pytest.mark.parametrize("state", [NORM, RTNUN])
def test_clearing_what_is_not_active_changes_nothing(state: AlarmState) -> None:
    assert on_clear(alarm(state), T + MINUTE) == alarm(state)


def test_a_second_acknowledgement_changes_nothing() -> None:
    first = acknowledge(alarm(UNACK), by="Ada", at=T)
    assert acknowledge(first, by="Bo", at=T + MINUTE) == first
