"""Alarms of which nobody is told for a while: shelved, suppressed by design, out of service.

Words and differences as in IEC 62682 and OPC 10000-9, section 4.8 and its shelved state
machine: a person shelves (for a time, or until the condition is over: one-shot, both within a
maximum), the system suppresses by its design, and who maintains something takes it out of
service. In all three the rule is followed on, and an alarm that is active at their end speaks
anew. Pure.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from service.rules.limit import Priority


class SuppressionKind(StrEnum):
    """Who keeps an alarm from speaking."""

    SHELVED = "shelved"
    BY_DESIGN = "suppressed by design"
    OUT_OF_SERVICE = "out of service"


LONGEST_REASON = 200

LONGEST_SHELF = {
    Priority.HIGH: timedelta(hours=4),
    Priority.MEDIUM: timedelta(hours=24),
    Priority.LOW: timedelta(days=7),
}
"""The more urgent, the sooner somebody has to look again; a danger is not slept over.

Common practice, no source: the standard asks for a maximum and names none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suppression:
    """A person's wish to be told nothing of a rule, for ``reason``.

    Shelved it always ends, at ``until``, and ``one_shot`` also with the condition. Out of
    service ``until`` may be None: until somebody puts it back.
    """

    rule: str
    kind: SuppressionKind
    since: datetime
    until: datetime | None
    reason: str
    by: str | None
    one_shot: bool = False

    def __post_init__(self) -> None:
        if self.kind is SuppressionKind.BY_DESIGN:
            raise ValueError(f"{self.rule}: no person suppresses by design")
        if self.kind is SuppressionKind.SHELVED and self.until is None:
            raise ValueError(f"{self.rule}: a shelf has an end")

    @property
    def why(self) -> str:
        """The reason, and who gave it."""
        return f"{self.reason} ({self.by})" if self.by else self.reason


def longest_shelf(priority: Priority, *, one_shot: bool, asked: timedelta | None) -> timedelta:
    """How long a shelf may last that a person asked for: ``asked``, or the maximum.

    Only a one-shot shelf may be asked for without a time; its end is the maximum then.

    Raises:
        ValueError: in words: no time, none above zero, or more than this priority may have.
    """
    longest = LONGEST_SHELF[priority]
    if asked is None:
        if not one_shot:
            raise ValueError("how long it is to be shelved was not told")
        return longest
    if asked <= timedelta(0):
        raise ValueError("how long it is to be shelved must be more than nothing")
    if asked > longest:
        raise ValueError(
            f"shelved for {in_words(asked)}: an alarm of {priority.value} priority may be "
            f"shelved for {in_words(longest)} at most"
        )
    return asked


def in_words(span: timedelta) -> str:
    """``4 hours``, ``7 days``, ``30 minutes``."""
    minutes = round(span / timedelta(minutes=1))
    for unit, size in (("day", 24 * 60), ("hour", 60)):
        # A day is told in hours, as people do.
        if minutes % size == 0 and minutes > size:
            return f"{minutes // size} {unit}s"
    if minutes == 60:
        return "an hour"
    return "a minute" if minutes == 1 else f"{minutes} minutes"
