"""Light and dark in the shed as its light sensor saw them, one span after another.

It is light from ``plan.threshold_lx`` on, and dark again below ``DARK_SHARE`` of it, so that a
value that hovers about the threshold is no flicker. A change that lasts less than ``BLINK`` is
none: a hand before the sensor, a torch. Each reading holds until the next, but no longer than
``max_gap``; what nobody saw lies between two spans that do not touch.

What brought or took the light is told by how fast it went. Lamps, also those that dim, make it
more than ``LAMPS_FACTOR`` times as bright, or as dark, within ``SUDDEN``. Daylight does not: it
doubles about every five minutes in civil twilight (3.4 lx at -6°, 400 lx at sunrise, from memory;
at 9° an hour), and more slowly after sunrise. So lamps that brighten as slowly as the sun are
taken for it, and so are those that bring little beside daylight. Pure.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from service.climate.samples import Sample, at_ms, ms_in, ms_of

DARK_SHARE = 0.8
BLINK = timedelta(minutes=2)

SUDDEN = timedelta(minutes=6)
LAMPS_FACTOR = 3.0

_SUDDEN_MS = ms_in(SUDDEN)
_FEWEST = 3
"""So many readings in that time show that the light went slowly; with fewer nobody can tell."""
_DARKEST_SHARE = 0.05
"""Of the threshold: less light is not told from none."""


class LightSource(StrEnum):
    """What brought the light, or took it."""

    LAMPS = "lamps"
    DAYLIGHT = "daylight"


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSpan:
    """A time without a gap in which it was light, or dark.

    ``since`` is the first reading of it, ``until`` the first of the next span, or the end of
    what the last reading tells. ``began_by`` is None where the change was not seen, or nobody
    can tell what it was.
    """

    lit: bool
    since: datetime
    until: datetime
    began_by: LightSource | None = None

    @property
    def length(self) -> timedelta:
        """How long it lasted."""
        return self.until - self.since


def light_spans(
    samples: Iterable[Sample], threshold_lx: float, *, max_gap: timedelta, until: datetime
) -> tuple[LightSpan, ...]:
    """The spans, oldest first.

    Args:
        samples: of one light sensor [lx], oldest first; they may have gaps and may be empty.
        threshold_lx: from which on it is light.
        max_gap: how long a reading holds.
        until: the end of what is known; nothing after it is used.
    """
    return tuple(_without_blinks(_spans(samples, threshold_lx, ms_in(max_gap), ms_of(until))))


class _Speed:
    """How fast the light goes where it turns."""

    def __init__(self, threshold_lx: float) -> None:
        self._darkest_lx = _DARKEST_SHARE * threshold_lx
        self._recent: deque[Sample] = deque()
        self._before: Sample | None = None
        self._after = 0

    def see(self, at: int, lux: float) -> None:
        """Keep a reading as long as it is recent."""
        self._recent.append((at, lux))
        while self._recent[0][0] < at - _SUDDEN_MS:
            self._recent.popleft()

    def took(self, at: int, lux: float) -> LightSource | None:
        """What took the light, of which this reading shows the end; before it is seen."""
        recent = [light for seen, light in self._recent if seen >= at - _SUDDEN_MS]
        if recent and max(recent) >= LAMPS_FACTOR * max(lux, self._darkest_lx):
            return LightSource.LAMPS
        return LightSource.DAYLIGHT if len(recent) >= _FEWEST else None

    def dawns(self) -> None:
        """The light begins with the next reading that is asked about."""
        self._before, self._after = self._recent[-1], 0

    def brought(self, at: int, lux: float) -> tuple[LightSource | None, bool]:
        """What brought the light, as far as this reading shows it, and whether to ask on."""
        before, dark_lx = self._before or (at, lux)
        if at - before > _SUDDEN_MS:
            return LightSource.DAYLIGHT if self._after >= _FEWEST else None, False
        self._after += 1
        if lux >= LAMPS_FACTOR * max(dark_lx, self._darkest_lx):
            return LightSource.LAMPS, False
        return None, True


class _Following:
    """The span that goes on, reading by reading; times in milliseconds."""

    def __init__(self, at: int, lux: float, threshold_lx: float) -> None:
        self._threshold_lx = threshold_lx
        self._span, self._last = _begun(lux >= threshold_lx, at), at
        self._speed, self._asked = _Speed(threshold_lx), False
        self._speed.see(at, lux)

    def see(self, at: int, lux: float, max_gap: int) -> LightSpan | None:
        """Take one more reading; the span that it ends, if it does."""
        over = None
        if at - self._last > max_gap:
            over = self._ended(self._last + max_gap)
            self._span = _begun(lux >= self._threshold_lx, at)
            self._speed, self._asked = _Speed(self._threshold_lx), False
        elif (lux >= self._turn_lx) is not self._span.lit:
            over = self._ended(at)
            self._turn(at, lux)
        if self._asked:
            source, self._asked = self._speed.brought(at, lux)
            self._span = replace(self._span, began_by=source)
        self._speed.see(at, lux)
        self._last = at
        return over

    def end(self, max_gap: int, until: int) -> LightSpan:
        """The span as far as the last reading tells, and not beyond ``until``."""
        return self._ended(min(self._last + max_gap, until))

    def _ended(self, at: int) -> LightSpan:
        return replace(self._span, until=at_ms(at))

    @property
    def _turn_lx(self) -> float:
        return DARK_SHARE * self._threshold_lx if self._span.lit else self._threshold_lx

    def _turn(self, at: int, lux: float) -> None:
        self._span = _begun(not self._span.lit, at)
        self._asked = self._span.lit
        if self._asked:
            self._speed.dawns()
        else:
            self._span = replace(self._span, began_by=self._speed.took(at, lux))


def _spans(
    samples: Iterable[Sample], threshold_lx: float, max_gap: int, until: int
) -> Iterator[LightSpan]:
    """Every change, however short; a span is told when it is over. Times in milliseconds."""
    following: _Following | None = None
    for at, lux in samples:
        if at > until:
            break
        if following is None:
            following = _Following(at, lux, threshold_lx)
        elif over := following.see(at, lux, max_gap):
            yield over
    if following is not None:
        yield following.end(max_gap, until)


def _begun(lit: bool, at: int) -> LightSpan:
    return LightSpan(lit=lit, since=at_ms(at), until=at_ms(at))


def _without_blinks(spans: Iterable[LightSpan]) -> list[LightSpan]:
    """A short span between two others that touch it is part of them."""
    kept: list[LightSpan] = []
    for span in spans:
        if len(kept) > 1 and _is_blink(kept[-2], kept[-1], span):
            kept.pop()
            kept[-1] = replace(kept[-1], until=span.until)
        else:
            kept.append(span)
    return kept


def _is_blink(before: LightSpan, span: LightSpan, after: LightSpan) -> bool:
    touch = before.until == span.since and span.until == after.since
    return touch and span.length < BLINK
