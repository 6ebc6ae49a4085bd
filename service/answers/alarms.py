"""Alarms that are and were: the answer to ``alarms``."""

from collections.abc import Sequence

from typing_extensions import TypedDict

from service.alarms.alarm import Alarm
from service.answers.telling import finite, rfc3339, rfc3339_or_none


class AlarmAnswer(TypedDict):
    """``rule`` is a limit's id, or ``overdue:<device>`` with seconds as values.

    ``state`` is that of IEC 62682, with shelved, suppressed by design and out of service, while
    ``active`` says whether the condition is true all the same. ``told_at`` is null where a
    person was never told.
    """

    rule: str
    place: str
    priority: str
    state: str
    raised_at: str
    cleared_at: str | None
    acknowledged_at: str | None
    value: float | None
    setpoint: float | None
    text: str
    id: str
    acknowledged_by: str | None
    active: bool
    suppressed_until: str | None
    suppressed_why: str | None
    told_at: str | None


def alarms(kept: Sequence[Alarm]) -> list[AlarmAnswer]:
    """One item for each alarm, in the order given."""
    return [
        AlarmAnswer(
            rule=alarm.rule,
            place=alarm.place,
            priority=alarm.priority.value,
            state=alarm.told_state,
            raised_at=rfc3339(alarm.raised_at),
            cleared_at=rfc3339_or_none(alarm.cleared_at),
            acknowledged_at=rfc3339_or_none(alarm.acknowledged_at),
            value=finite(alarm.value),
            setpoint=finite(alarm.setpoint),
            text=alarm.text,
            id=alarm.id,
            acknowledged_by=alarm.acknowledged_by,
            active=alarm.state.active,
            suppressed_until=rfc3339_or_none(alarm.suppressed_until),
            suppressed_why=alarm.suppressed_why,
            told_at=rfc3339_or_none(alarm.told_at),
        )
        for alarm in kept
    ]
