"""What the alarms have asked of the keeper in 30 days, in sentences. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.views.local_words import count, moment
from dashboards.views.rule_names import rule_name
from service.alarms.yardsticks import HOUSE_A_DAY, Yardsticks
from service.rules.limit import Priority
from service.settings.settings import Settings

_AGAIN = 2
_OFTEN = 3
"""So many alarms of one rule in the span are worth a look at it."""

_MOST_NAMED = 3

_ENOUGH = 6
"""Alarms from which on it says something how many were urgent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """``look``: something can be done about it."""

    words: str
    look: bool = False


def yardstick_lines(found: Yardsticks, settings: Settings, now: datetime) -> tuple[Line, ...]:
    """Worth knowing first; what is as it should be takes one line."""
    if not found.told and not found.hidden:
        return (Line(words=f"In {_days(found)} no alarm came."),)
    return (
        _how_many(found),
        *_at_night(found),
        *_most(found, settings),
        *_chattering(found, settings),
        *_stale(found, settings, now),
        *_floods(found, settings, now),
        *_priorities(found),
        *_suppressed(found),
    )


def _days(found: Yardsticks) -> str:
    return count(max(1, int(found.days)), "day")


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _how_many(found: Yardsticks) -> Line:
    words = f"In {_days(found)}: {count(found.told, 'alarm')}"
    if found.told > 1:
        words += f", {found.busiest} on the busiest day"
    much = found.a_day > HOUSE_A_DAY
    end = ". More than one a day: then the one that matters is easily missed." if much else "."
    return Line(words=words + end, look=much)


def _at_night(found: Yardsticks) -> Sequence[Line]:
    if not found.at_night:
        return ()
    words = f"{found.at_night} of them between 22:00 and 7:00."
    return (Line(words=words, look=found.by_priority.get(Priority.HIGH, 0) < found.at_night),)


def _most(found: Yardsticks, settings: Settings) -> Sequence[Line]:
    limits = {limit.id for limit in settings.limits}
    return [
        Line(
            words=f"{_times(times).capitalize()} it was the same one "
            f"({rule_name(rule, settings)}): look at "
            f"{'its limit, or at what is behind it' if rule in limits else 'what is behind it'}.",
            look=times >= _OFTEN,
        )
        for rule, times in found.most[:_MOST_NAMED]
        if times >= _AGAIN
    ]


def _chattering(found: Yardsticks, settings: Settings) -> Sequence[Line]:
    return [
        Line(
            words=f"{rule_name(rule, settings)} came and went three times within a minute"
            f"{f', {_times(times)}' if times > 1 else ''}: give it more time before it speaks.",
            look=True,
        )
        for rule, times in found.chattering
    ]


def _stale(found: Yardsticks, settings: Settings, now: datetime) -> Sequence[Line]:
    zone = settings.site.timezone
    return [
        Line(
            words=f"{rule_name(one.rule, settings)} has been true for more than a day, since "
            f"{moment(one.raised_at, now, zone)}: put it right, or change the rule."
            if one.cleared_at is None
            else f"{rule_name(one.rule, settings)} was true for more than a day, from "
            f"{moment(one.raised_at, now, zone)} to {moment(one.cleared_at, now, zone)}.",
            look=one.cleared_at is None,
        )
        for one in found.stale
    ]


def _floods(found: Yardsticks, settings: Settings, now: datetime) -> Sequence[Line]:
    zone = settings.site.timezone
    return [
        Line(
            words=f"{one.alarms} alarms came at once {moment(one.since, now, zone)}: more than "
            "anybody can follow. They may have one cause.",
            look=True,
        )
        for one in found.floods
    ]


def _priorities(found: Yardsticks) -> Sequence[Line]:
    """Only where there are enough to say so."""
    high = found.by_priority.get(Priority.HIGH, 0)
    if found.told < _ENOUGH or high * 2 <= found.told:
        return ()
    words = f"{high} of {found.told} said act now. Where most are urgent, none is."
    return (Line(words=words, look=True),)


def _suppressed(found: Yardsticks) -> Sequence[Line]:
    parts = []
    if found.hidden:
        parts.append(f"{count(found.hidden, 'alarm')} came that nobody was told of")
    if found.shelved:
        parts.append(f"{_times(found.shelved)} one was shelved")
    if found.out_of_service:
        parts.append(f"{_times(found.out_of_service)} one was taken out of service")
    return (Line(words=f"{'; '.join(parts)}.".capitalize()),) if parts else ()
