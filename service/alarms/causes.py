"""Which alarm is the cause of which, so that a person is told of the cause alone. Pure.

An alarm is suppressed by design while another one is active that explains it and is told
itself: as every hidden one has a told cause, no danger is hidden by what is hidden. A cause
never hides what is more urgent than it. One that a person has shelved hides on: who shelved it
knows of it. One that is out of service tells nothing, and so hides nothing.

What explains what: a shed that is too cold, its boxes that are; a power cut, the dark; a rule
that a path names as the cause (``Raised.because_of``), whatever it is.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.alarms.alarm import Alarm
from service.alarms.suppression import SuppressionKind
from service.rules.limit import is_more_urgent


@dataclass(frozen=True, slots=True, kw_only=True)
class Explains:
    """Alarms of kind ``cause`` explain those of kind ``effect`` at places inside their own, or,
    ``here``, also at the same place.
    """

    cause: str
    effect: str
    here: bool = False


EXPLAINS = (
    Explains(cause="temperature low", effect="temperature low"),
    Explains(cause="temperature high", effect="temperature high"),
    Explains(cause="relative_humidity low", effect="relative_humidity low"),
    Explains(cause="relative_humidity high", effect="relative_humidity high"),
    Explains(cause="power-cut", effect="dark-by-day", here=True),
    Explains(cause="power-cut", effect="illuminance low", here=True),
    Explains(cause="power-cut", effect="mains low", here=True),
    Explains(cause="power-cut", effect="heater", here=True),
    Explains(cause="power-cut", effect="overdue", here=True),
    Explains(cause="power-cut", effect="overdue-together", here=True),
)


def causes(alarms: Sequence[Alarm], around: Mapping[str, str | None]) -> dict[str, Alarm]:
    """For the id of each active alarm that is hidden: its cause, which is told.

    ``around`` gives for a place the one that it stands in.
    """
    active = [one for one in alarms if one.state.active]
    may = {one.id: tuple(_candidates(one, active, around)) for one in active}
    told: set[str] = set()
    hidden: dict[str, Alarm] = {}
    left = sorted(active, key=lambda one: (one.raised_at, one.id))
    while left:
        still = []
        for one in left:
            cause = next((by for by in may[one.id] if by.id in told), None)
            if cause is not None:
                hidden[one.id] = cause
            elif all(by.id in hidden for by in may[one.id]):
                told.add(one.id)
            else:
                still.append(one)
        if len(still) == len(left):
            # They explain each other in a ring: the first to come is told.
            told.add(still.pop(0).id)
        left = still
    return hidden


def _candidates(
    alarm: Alarm, active: Sequence[Alarm], around: Mapping[str, str | None]
) -> Iterator[Alarm]:
    for other in active:
        if other.id == alarm.id or other.suppressed is SuppressionKind.OUT_OF_SERVICE:
            continue
        if is_more_urgent(alarm.priority, other.priority):
            continue
        if alarm.because_of == other.rule or _explains(other, alarm, around):
            yield other


def _explains(cause: Alarm, effect: Alarm, around: Mapping[str, str | None]) -> bool:
    for one in EXPLAINS:
        if (one.cause, one.effect) == (cause.kind, effect.kind):
            here = cause.place == effect.place
            return one.here if here else _is_inside(effect.place, cause.place, around)
    return False


def _is_inside(place: str, outer: str, around: Mapping[str, str | None]) -> bool:
    seen: set[str] = set()
    within = around.get(place)
    while within is not None and within not in seen:
        if within == outer:
            return True
        seen.add(within)
        within = around.get(within)
    return False
