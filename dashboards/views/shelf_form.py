"""To shelve an alarm with one tap: a reason and an end that belong together, or one's own. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from service.alarms.shelf_wish import ShelfWish
from service.alarms.suppression import LONGEST_REASON, LONGEST_SHELF, in_words, longest_shelf
from service.errors import InputError
from service.nests.typed_text import note_fault
from service.rules.limit import Priority

OWN = "own"
_UNTIL_OVER = "over"
_HOUR = timedelta(hours=1)
_SPANS = (_HOUR / 2, _HOUR, 4 * _HOUR, 12 * _HOUR, 24 * _HOUR, 72 * _HOUR, 168 * _HOUR)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfTap:
    """One button: ``words`` are the reason that is kept, ``small`` says until when."""

    key: str
    words: str
    small: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanChoice:
    """One time that may be chosen."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfForm:
    """``spans`` end with the longest that this priority may have."""

    rule: str
    taps: tuple[ShelfTap, ...]
    spans: tuple[SpanChoice, ...]
    longest: str
    longest_reason: int = LONGEST_REASON


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ready:
    words: str
    span: timedelta | None
    one_shot: bool


_READY: Mapping[str, _Ready] = {
    "at-it": _Ready(words="I am at it", span=_HOUR, one_shot=True),
    "can-wait": _Ready(words="I know, and it can wait", span=None, one_shot=True),
    "not-believed": _Ready(words="The sensor is wrong", span=None, one_shot=False),
}


def shelf_form(rule: str, priority: Priority) -> ShelfForm:
    """What may be asked for; the maximum is that of the priority."""
    longest = LONGEST_SHELF[priority]
    taps = tuple(
        ShelfTap(key=key, words=one.words, small=_until(one, longest))
        for key, one in _READY.items()
    )
    spans = tuple(
        SpanChoice(value=f"{span.total_seconds():.0f}", words=in_words(span))
        for span in _SPANS
        if span <= longest
    )
    over = SpanChoice(value=_UNTIL_OVER, words=f"until it is over, {in_words(longest)} at most")
    return ShelfForm(rule=rule, taps=taps, spans=(*spans, over), longest=in_words(longest))


def read_shelf(told: Mapping[str, str], priority: Priority) -> ShelfWish:
    """What a tap, or the keeper's own words and time, ask for.

    Raises:
        InputError: no such tap, no reason, no time, or more than the priority may have.
    """
    tap = told.get("tap", "")
    if tap in _READY:
        ready = _READY[tap]
        span = longest_shelf(priority, one_shot=True, asked=ready.span)
        return ShelfWish(reason=ready.words, for_s=span.total_seconds(), one_shot=ready.one_shot)
    if tap != OWN:
        raise InputError("Nothing was tapped that this page knows; open it anew.")
    reason = told.get("reason", "").strip()
    if (fault := note_fault(reason, LONGEST_REASON)) is not None:
        raise InputError(f"Why: {fault}.")
    asked = told.get("for", "")
    wish = ShelfWish(reason=reason, for_s=_seconds(asked), one_shot=asked == _UNTIL_OVER)
    try:
        longest_shelf(priority, one_shot=wish.one_shot, asked=wish.span)
    except ValueError as error:
        raise InputError(f"{str(error)[0].upper()}{str(error)[1:]}.") from error
    return wish.model_copy(update={"reason": wish.tidy_reason})


def _seconds(asked: str) -> float | None:
    if asked == _UNTIL_OVER:
        return None
    known = {f"{span.total_seconds():.0f}": span for span in _SPANS}
    if asked not in known:
        raise InputError("How long it is to be shelved: choose one of the times.")
    return known[asked].total_seconds()


def _until(ready: _Ready, longest: timedelta) -> str:
    span = in_words(min(ready.span or longest, longest))
    return f"until it is over, {span} at most" if ready.one_shot else f"for {span}"
