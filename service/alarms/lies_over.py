"""What lies over each open alarm now: a person's wish, or a design. Pure.

A person's wish comes before a design: it has a reason and an end that pages show.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from service.alarms.alarm import Alarm
from service.alarms.causes import causes
from service.alarms.suppression import Suppression, SuppressionKind


@dataclass(frozen=True, slots=True)
class Over:
    """What takes an alarm's voice, until when at the latest, and why in words."""

    kind: SuppressionKind
    until: datetime | None
    why: str

    def is_over(self, alarm: Alarm) -> bool:
        """Whether it lies over the alarm already. A cause may change its words meanwhile."""
        if alarm.suppressed is not self.kind:
            return False
        if self.kind is SuppressionKind.BY_DESIGN:
            return True
        return (alarm.suppressed_until, alarm.suppressed_why) == (self.until, self.why)


def lies_over(
    open_alarms: Sequence[Alarm],
    wishes: Mapping[str, Suppression],
    asleep: Mapping[str, str],
    around: Mapping[str, str | None],
) -> dict[str, Over]:
    """By the id of the alarm; what is not there speaks.

    ``wishes`` are those of persons and ``asleep`` the rules that make no sense now, with why:
    both by rule. What sleeps hides nothing.
    """
    seen = []
    for alarm in open_alarms:
        if alarm.rule in asleep:
            continue
        wish = wishes.get(alarm.rule)
        seen.append(replace(alarm, suppressed=None if wish is None else wish.kind))
    hidden = causes(seen, around)
    found = {}
    for alarm in open_alarms:
        over = _of(alarm, wishes.get(alarm.rule), asleep.get(alarm.rule), hidden.get(alarm.id))
        if over is not None:
            found[alarm.id] = over
    return found


def _of(
    alarm: Alarm, wish: Suppression | None, sleeps: str | None, cause: Alarm | None
) -> Over | None:
    if wish is not None:
        return Over(wish.kind, wish.until, wish.why)
    if sleeps is not None and alarm.state.active:
        return Over(SuppressionKind.BY_DESIGN, None, sleeps)
    if cause is not None:
        return Over(SuppressionKind.BY_DESIGN, None, f"It comes with this: {cause.text}")
    return None
