"""Light and dark in the shed as its light sensor saw them, one span after another.

It is light from ``plan.threshold_lx`` on, and dark again below ``DARK_SHARE`` of it, so that a
value that hovers about the threshold is no flicker. A change that lasts less than ``BLINK`` is
none: a hand before the sensor, a torch. Each reading holds until the next, but no longer than
``max_gap``; what nobody saw lies between two spans that do not touch.

What brought or took the light is told by how fast it went. Lamps, also those that dim, make it
more than ``LAMPS_FACTOR`` times as bright, or as dark, from one reading to the next but one.
Daylight does not: it doubles about every five minutes in civil twilight (3.4 lx at -6°, 400 lx at
sunrise, from memory; at 9° an hour), and more slowly after sunrise; a cloud that passes just then
may be taken for a lamp. Lamps that brighten as slowly as the sun are taken for it, and so are those
that bring little beside daylight. Pure.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from service.climate.samples import Sample, at_ms, ms_in, ms_of

DARK_SHARE = 0.8
BLINK = timedelta(minutes=2)

LAMPS_FACTOR = 2.5
SUDDEN = timedelta(minutes=6)
"""Readings further apart tell nothing of how fast the light went."""

_SUDDEN_MS = ms_in(SUDDEN)
_LOOKED_AT = 2
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
    samples: Sequence[Sample], threshold_lx: float, *, max_gap: timedelta, until: datetime
) -> tuple[LightSpan, ...]:
    """The spans, oldest first.

    Args:
        samples: of one light sensor [lx], oldest first; they may have gaps and may be empty.
        threshold_lx: from which on it is light.
        max_gap: how long a reading holds.
        until: the end of what is known; nothing after it is used.
    """
    known = samples[: bisect_right(samples, ms_of(until), key=_at)]
    if not known:
        return ()
    *spans, last = _without_blinks(_spans(known, threshold_lx, ms_in(max_gap)))
    return (*spans, replace(last, until=min(last.until + max_gap, until)))


def _at(sample: Sample) -> int:
    return sample[0]


def _spans(samples: Sequence[Sample], threshold_lx: float, max_gap: int) -> Iterator[LightSpan]:
    """Every change, however short; times in milliseconds. The last one ends with its sample."""
    turn_lx = {True: DARK_SHARE * threshold_lx, False: threshold_lx}
    darkest_lx = _DARKEST_SHARE * threshold_lx
    span, last = _begun(samples[0][1] >= threshold_lx, samples[0][0]), samples[0][0]
    lit = span.lit
    for number, (at, lux) in enumerate(samples):
        if at - last > max_gap:
            yield replace(span, until=at_ms(last + max_gap))
            lit = lux >= threshold_lx
            span = _begun(lit, at)
        elif (lux >= turn_lx[lit]) is not lit:
            yield replace(span, until=at_ms(at))
            lit = not lit
            source = _brought if lit else _took
            span = _begun(lit, at, source(samples, number, darkest_lx))
        last = at
    yield replace(span, until=at_ms(last))


def _brought(samples: Sequence[Sample], first: int, darkest_lx: float) -> LightSource | None:
    """What brought light that begins with this sample."""
    before, dark_lx = samples[first - 1]
    near = samples[first : first + _LOOKED_AT]
    bright = [lux for at, lux in near if at - before <= _SUDDEN_MS]
    return _source(bright, max(dark_lx, darkest_lx))


def _took(samples: Sequence[Sample], first: int, darkest_lx: float) -> LightSource | None:
    """What took light that is gone with this sample."""
    gone, dark_lx = samples[first]
    near = samples[max(0, first - _LOOKED_AT) : first]
    bright = [lux for at, lux in near if gone - at <= _SUDDEN_MS]
    return _source(bright, max(dark_lx, darkest_lx))


def _source(bright: Sequence[float], dark_lx: float) -> LightSource | None:
    if not bright:
        return None
    return LightSource.LAMPS if max(bright) >= LAMPS_FACTOR * dark_lx else LightSource.DAYLIGHT


def _begun(lit: bool, at: int, by: LightSource | None = None) -> LightSpan:
    return LightSpan(lit=lit, since=at_ms(at), until=at_ms(at), began_by=by)


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
