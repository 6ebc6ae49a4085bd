"""Light and dark in the shed as its light sensor saw them, one span after another.

It is light from ``plan.threshold_lx`` on, and dark again below ``DARK_SHARE`` of it, so that a
value that hovers about the threshold is no flicker. A change that lasts less than ``BLINK`` is
none: a hand before the sensor, a torch. Each reading holds until the next, but no longer than
``max_gap``; what nobody saw lies between two spans that do not touch.

What brought or took the light is told by how fast it went. Lamps, also those that dim, pass
between a quarter of the threshold and a quarter above it within some minutes. Daylight takes
longer: in civil twilight it doubles about every five minutes (3.4 lx at -6°, 400 lx at sunrise,
from memory; at 9° an hour), so that a fivefold takes twelve, and from sunrise on ever more.
A lamp that brightens as slowly as the sun is taken for it. Pure.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from service.climate.samples import Sample, at_ms, ms_in, ms_of

DARK_SHARE = 0.8
BLINK = timedelta(minutes=2)

_SUDDEN_MS = ms_in(timedelta(minutes=10))
_FAINT_SHARE, _CLEAR_SHARE = 0.25, 1.25
_FEWEST_BETWEEN = 3
"""So many readings in between show that the light went slowly; with fewer nobody can tell."""


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
    """How fast the light passes between faint and clear, in either direction."""

    def __init__(self, threshold_lx: float) -> None:
        self._faint_lx = _FAINT_SHARE * threshold_lx
        self._clear_lx = _CLEAR_SHARE * threshold_lx
        self._since: int | None = None
        self._between = 0

    def see(self, at: int, lux: float) -> None:
        """Take note of a reading that is faint or clear, or lies between."""
        if lux < self._faint_lx or lux >= self._clear_lx:
            self._since, self._between = at, 0
        else:
            self._between += 1

    def told(self, span: LightSpan, at: int, lux: float) -> tuple[LightSpan, bool]:
        """A new span with its source, as far as this reading shows it, and whether to ask on.

        To be asked before the reading is seen.
        """
        slowly = self._between >= _FEWEST_BETWEEN
        through = lux >= self._clear_lx if span.lit else lux < self._faint_lx
        if self._since is None:
            return span, not through
        if at - self._since > _SUDDEN_MS and slowly:
            return replace(span, began_by=LightSource.DAYLIGHT), False
        if through and at - self._since <= _SUDDEN_MS:
            return replace(span, began_by=LightSource.LAMPS), False
        return span, not through


def _spans(
    samples: Iterable[Sample], threshold_lx: float, max_gap: int, until: int
) -> Iterator[LightSpan]:
    """Every change, however short; a span is told when it is over. Times in milliseconds."""
    turn_lx = {True: DARK_SHARE * threshold_lx, False: threshold_lx}
    span: LightSpan | None = None
    last = until
    speed, asked = _Speed(threshold_lx), False
    for at, lux in samples:
        if at > until:
            break
        if span is None or at - last > max_gap:
            if span is not None:
                yield replace(span, until=at_ms(last + max_gap))
            span = _begun(lux >= threshold_lx, at)
            speed, asked = _Speed(threshold_lx), False
        elif (lux >= turn_lx[span.lit]) is not span.lit:
            yield replace(span, until=at_ms(at))
            span, asked = _begun(not span.lit, at), True
        if asked:
            span, asked = speed.told(span, at, lux)
        speed.see(at, lux)
        last = at
    if span is not None:
        yield replace(span, until=at_ms(min(last + max_gap, until)))


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
