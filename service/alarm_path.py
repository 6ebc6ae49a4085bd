"""From an assessment to an alarm: raised, cleared, acknowledged, and kept.

The open alarms live in memory and in the store. What the store would not take is kept and
tried again at the next ``save``; after a crash the rules are assessed again from the stored
readings, so that an alarm may come late by a restart and never not at all.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import uuid4

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.state_machine import acknowledge, on_clear, on_raise, on_return_of_another
from service.errors import NotKnownError
from service.rules.limit import Priority
from service.store.alarm_store import AlarmStore


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """What a rule found, before it is an alarm."""

    rule: str
    place: str
    priority: Priority
    at: datetime
    value: float
    setpoint: float
    text: str


class AlarmPath:
    """The open alarms of one shed, one for each rule at most."""

    def __init__(self, store: AlarmStore, *, settled: bool = True) -> None:
        """``settled`` is False while the configuration is at fault: what it lacks is then
        perhaps not meant to be gone, and no alarm ends for it.
        """
        self._store = store
        self._settled = settled
        self._open = {alarm.rule: alarm for alarm in store.open_alarms()}
        self._unsaved: dict[str, Alarm] = {}

    def open_alarms(self) -> Sequence[Alarm]:
        """Alarms that are not back to normal."""
        return tuple(self._open.values())

    def of(self, rule: str) -> Alarm | None:
        """The open alarm of a rule, if there is one."""
        return self._open.get(rule)

    def is_active(self, rule: str) -> bool:
        """Whether the rule's condition is, as far as we know, true."""
        alarm = self._open.get(rule)
        return alarm is not None and alarm.state.active

    def raise_(self, raised: Raised) -> None:
        """The condition is true. Nothing happens where that is known already."""
        alarm = self._open.get(raised.rule)
        if alarm is not None and alarm.state.active:
            return
        if alarm is not None:
            self._keep(alarm, on_return_of_another(alarm))
        new = _not_yet(raised)
        self._keep(new, on_raise(new))

    def clear(self, rule: str, at: datetime, *, text: str | None = None) -> None:
        """The condition was seen to be false. ``text`` replaces the alarm's words."""
        alarm = self._open.get(rule)
        if alarm is not None and alarm.state.active:
            self._keep(alarm, on_clear(replace(alarm, text=text or alarm.text), at))

    def end(self, rule: str, at: datetime, *, why: str) -> None:
        """The keeper set up no more what the alarm was about; ``why`` says so in the alarm."""
        alarm = self._open.get(rule)
        if self._settled and alarm is not None:
            self.clear(rule, at, text=f"{alarm.text} {why}")

    def acknowledge(self, alarm_id: str, *, by: str | None, at: datetime) -> None:
        """A person has seen it.

        Raises:
            NotKnownError: no open alarm has this id.
        """
        for alarm in self._open.values():
            if alarm.id == alarm_id:
                self._keep(alarm, acknowledge(alarm, by=by, at=at))
                return
        raise NotKnownError(f"no open alarm {alarm_id}")

    def save(self) -> None:
        """Write what has changed, all in one transaction.

        Raises:
            StoreUnavailableError: nothing was written; the changes are kept for next time.
        """
        if self._unsaved:
            self._store.put(tuple(self._unsaved.values()))
            self._unsaved.clear()

    def _keep(self, before: Alarm, after: Alarm) -> None:
        if after == before:
            return
        self._unsaved[after.id] = after
        if after.state is AlarmState.NORMAL:
            self._open.pop(after.rule, None)
        else:
            self._open[after.rule] = after


def _not_yet(raised: Raised) -> Alarm:
    return Alarm(
        id=uuid4().hex,
        rule=raised.rule,
        place=raised.place,
        priority=raised.priority,
        state=AlarmState.NORMAL,
        raised_at=raised.at,
        value=raised.value,
        setpoint=raised.setpoint,
        text=raised.text,
    )
