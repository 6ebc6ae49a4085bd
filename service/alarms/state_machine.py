"""The states of an alarm as one table. Pure.

Source: IEC 62682 (ANSI/ISA-18.2), alarm state transitions: normal, unacknowledged,
acknowledged, returned to normal unacknowledged. The terms as in OPC 10000-9. The states
are those of a rule's condition; here each occurrence keeps a record of its own, so that a
rule which is breached again begins a new one.
"""

from dataclasses import replace
from datetime import datetime
from enum import StrEnum

from service.alarms.alarm import Alarm, AlarmState


class AlarmEvent(StrEnum):
    """What can happen to an alarm."""

    RAISE = "raise"
    CLEAR = "clear"
    ACKNOWLEDGE = "acknowledge"


_NORMAL = AlarmState.NORMAL
_UNACK = AlarmState.UNACKNOWLEDGED
_ACKED = AlarmState.ACKNOWLEDGED
_RETURNED = AlarmState.RETURNED_UNACKNOWLEDGED

TABLE = {
    (_NORMAL, AlarmEvent.RAISE): _UNACK,
    (_NORMAL, AlarmEvent.CLEAR): _NORMAL,
    (_NORMAL, AlarmEvent.ACKNOWLEDGE): _NORMAL,
    (_UNACK, AlarmEvent.RAISE): _UNACK,
    (_UNACK, AlarmEvent.CLEAR): _RETURNED,
    (_UNACK, AlarmEvent.ACKNOWLEDGE): _ACKED,
    (_ACKED, AlarmEvent.RAISE): _ACKED,
    (_ACKED, AlarmEvent.CLEAR): _NORMAL,
    (_ACKED, AlarmEvent.ACKNOWLEDGE): _ACKED,
    (_RETURNED, AlarmEvent.RAISE): _UNACK,
    (_RETURNED, AlarmEvent.CLEAR): _RETURNED,
    (_RETURNED, AlarmEvent.ACKNOWLEDGE): _NORMAL,
}


def next_state(state: AlarmState, event: AlarmEvent) -> AlarmState:
    """The state after an event."""
    return TABLE[state, event]


def on_raise(alarm: Alarm) -> Alarm:
    """The condition is true. What is known already changes nothing.

    A new alarm is made with state NORMAL and raised by this: it is then unacknowledged.
    """
    return replace(alarm, state=next_state(alarm.state, AlarmEvent.RAISE))


def on_return_of_another(alarm: Alarm) -> Alarm:
    """The same rule is breached anew, as an occurrence of its own.

    One that nobody had acknowledged is over with that: who acknowledges the new one has seen
    that it came again. It keeps its times, and that nobody acknowledged it.
    """
    return alarm if alarm.state.active else replace(alarm, state=AlarmState.NORMAL)


def on_clear(alarm: Alarm, at: datetime) -> Alarm:
    """The condition was seen to be false at ``at``. Changes nothing where it was not true."""
    if not alarm.state.active:
        return alarm
    return replace(alarm, state=next_state(alarm.state, AlarmEvent.CLEAR), cleared_at=at)


def acknowledge(alarm: Alarm, *, by: str | None, at: datetime) -> Alarm:
    """A person has seen it. Once is enough: the first one's name and time stay."""
    state = next_state(alarm.state, AlarmEvent.ACKNOWLEDGE)
    if state is alarm.state:
        return alarm
    return replace(alarm, state=state, acknowledged_at=at, acknowledged_by=by)
