"""When it was surely dark and surely bright, out of many samples of light. Pure.

The same as following them one by one (``light_state.follow_light``), for weeks of them at once:
they are first brought together into runs of one light.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.climate.light_plan import LightPlan
from service.climate.samples import Sample, at_ms, ms_in

_Run = tuple[bool, int, int]
"""Whether dark, and its first and last sample [ms]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A time in which it was surely dark, or surely bright, as far as readings reach."""

    dark: bool
    since: datetime
    until: datetime


def dark_spans(samples: Iterable[Sample], plan: LightPlan, max_gap: timedelta) -> list[Span]:
    """Sure times, oldest first. Where two do not touch, nobody knows what was between.

    Args:
        samples: of one light sensor [lx], oldest first; may have gaps and may be empty.
        plan: what is dark, and for how long it must be.
        max_gap: after a longer gap nothing is sure until a run is long enough again.
    """
    dark_for_ms = ms_in(plan.dark_for)
    spans: list[Span] = []
    for stretch in _stretches(samples, plan.threshold_lx, ms_in(max_gap)):
        spans += _sure(stretch, dark_for_ms)
    return spans


def _stretches(samples: Iterable[Sample], threshold_lx: float, gap_ms: int) -> Iterator[list[_Run]]:
    """Runs of one light, a list for each time without a gap."""
    runs: list[_Run] = []
    was_dark, first, last = False, 0, -gap_ms - 1
    begun = False
    for at, lux in samples:
        dark = lux < threshold_lx
        if not begun or at - last > gap_ms:
            if begun:
                runs.append((was_dark, first, last))
                yield runs
            runs, was_dark, first, begun = [], dark, at, True
        elif dark is not was_dark:
            runs.append((was_dark, first, last))
            was_dark, first = dark, at
        last = at
    if begun:
        runs.append((was_dark, first, last))
        yield runs


def _sure(runs: Sequence[_Run], dark_for_ms: int) -> Iterator[Span]:
    """A run of the other light that is too short to count belongs to the span around it."""
    here: Span | None = None
    for dark, first, last in runs:
        long = last - first >= dark_for_ms
        if long and (here is None or here.dark is not dark):
            if here is not None:
                yield replace(here, until=at_ms(first))
            here = Span(dark=dark, since=at_ms(first), until=at_ms(last))
        elif here is not None:
            here = replace(here, until=at_ms(last))
    if here is not None:
        yield here
