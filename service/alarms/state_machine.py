"""The states of an alarm as one table. Pure.

Source: IEC 62682 (ANSI/ISA-18.2), alarm state transitions: normal, unacknowledged,
acknowledged, returned to normal unacknowledged, latched (its arrows from memory), and what
lies over them: shelved, suppressed by design, out of service. The terms, and the re-alarm
time, as in OPC 10000-9. The states are those of a rule's condition; here each occurrence keeps
a record of its own, so that a rule which is breached again begins a new one.

While an alarm is suppressed its condition is followed on; what is over by then needs nobody's
acknowledgement, and what is active then speaks as if it had just come.
"""

from dataclasses import replace
from datetime import datetime
from enum import StrEnum

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import SuppressionKind


class AlarmEvent(StrEnum):
    """What can happen to an alarm."""

    RAISE = "raise"
    CLEAR = "clear"
    CLEAR_LATCHING = "clear, latching"
    CLEAR_SUPPRESSED = "clear, suppressed"
    ACKNOWLEDGE = "acknowledge"
    RE_ALARM = "re-alarm"
    RESET = "reset"
    UNSUPPRESS = "unsuppress"


_NORMAL = AlarmState.NORMAL
_UNACK = AlarmState.UNACKNOWLEDGED
_ACKED = AlarmState.ACKNOWLEDGED
_RETURNED = AlarmState.RETURNED_UNACKNOWLEDGED
_LATCHED = AlarmState.LATCHED_UNACKNOWLEDGED
_LATCHED_ACKED = AlarmState.LATCHED_ACKNOWLEDGED

# What is not told here stays as it is.
_MOVES = {
    AlarmEvent.RAISE: {
        _NORMAL: _UNACK,
        _RETURNED: _UNACK,
        _LATCHED: _UNACK,
        _LATCHED_ACKED: _UNACK,
    },
    AlarmEvent.CLEAR: {_UNACK: _RETURNED, _ACKED: _NORMAL},
    AlarmEvent.CLEAR_LATCHING: {_UNACK: _LATCHED, _ACKED: _LATCHED_ACKED},
    AlarmEvent.CLEAR_SUPPRESSED: {_UNACK: _NORMAL, _ACKED: _NORMAL},
    AlarmEvent.ACKNOWLEDGE: {_UNACK: _ACKED, _RETURNED: _NORMAL, _LATCHED: _LATCHED_ACKED},
    AlarmEvent.RE_ALARM: {_ACKED: _UNACK},
    AlarmEvent.RESET: {_LATCHED: _RETURNED, _LATCHED_ACKED: _NORMAL},
    AlarmEvent.UNSUPPRESS: {_ACKED: _UNACK, _RETURNED: _NORMAL},
}

TABLE = {
    (state, event): _MOVES[event].get(state, state) for state in AlarmState for event in AlarmEvent
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
    event = AlarmEvent.CLEAR
    if alarm.latching:
        event = AlarmEvent.CLEAR_LATCHING
    elif alarm.suppressed is not None:
        event = AlarmEvent.CLEAR_SUPPRESSED
    return replace(alarm, state=next_state(alarm.state, event), cleared_at=at)


def acknowledge(alarm: Alarm, *, by: str | None, at: datetime) -> Alarm:
    """A person has seen it. Once is enough: the first one's name and time stay."""
    state = next_state(alarm.state, AlarmEvent.ACKNOWLEDGE)
    if state is alarm.state:
        return alarm
    return replace(alarm, state=state, acknowledged_at=at, acknowledged_by=by)


def reset(alarm: Alarm) -> Alarm:
    """A person lets a latched alarm go; changes nothing else."""
    return replace(alarm, state=next_state(alarm.state, AlarmEvent.RESET))


def re_alarm_due(alarm: Alarm) -> datetime | None:
    """When it is unacknowledged again, should it still be active then; None for never."""
    if alarm.state is not AlarmState.ACKNOWLEDGED or alarm.suppressed is not None:
        return None
    if alarm.re_alarm_after is None or alarm.acknowledged_at is None:
        return None
    return alarm.acknowledged_at + alarm.re_alarm_after


def on_re_alarm(alarm: Alarm) -> Alarm:
    """It was seen long ago and is active still: somebody has to see it again."""
    return _unseen(alarm, next_state(alarm.state, AlarmEvent.RE_ALARM))


def on_suppress(alarm: Alarm, kind: SuppressionKind, *, until: datetime | None, why: str) -> Alarm:
    """Nobody is told of it from now on. Its condition is followed as before."""
    return replace(alarm, suppressed=kind, suppressed_until=until, suppressed_why=why)


def on_unsuppress(alarm: Alarm, at: datetime) -> Alarm:
    """What is active speaks anew, what is over needs nobody any more."""
    if alarm.suppressed is None:
        return alarm
    free = replace(alarm, suppressed=None, suppressed_until=None, suppressed_why=None)
    after = _unseen(free, next_state(alarm.state, AlarmEvent.UNSUPPRESS))
    return replace(after, told_at=after.told_at or at) if after.told else after


def _unseen(alarm: Alarm, state: AlarmState) -> Alarm:
    if state is alarm.state or state is AlarmState.NORMAL:
        return replace(alarm, state=state)
    return replace(alarm, state=state, acknowledged_at=None, acknowledged_by=None)
