"""What one channel shows: whose air, its thread with the banks, and the light, over time."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboards.views.ahead import Ahead
from dashboards.views.banks import AirLimits, AirMoment, air_moment
from service.store.reading_store import Mean


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSpan:
    """The light as measured; where nobody measured it there is no span."""

    since: datetime
    until: datetime
    bright: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelView:
    """``strands`` are stretches of thread without a gap, oldest first.

    ``latest`` is the newest moment if it still counts as now, else None; ``heard_until`` is
    the end of the thread. Both None where there never was a reading. ``ahead`` is what is
    expected of the coming night, or of the rest of this one; None where nobody can tell.
    """

    place: str
    place_name: str
    since: datetime
    now: datetime
    strands: tuple[tuple[AirMoment, ...], ...] = ()
    light: tuple[LightSpan, ...] = ()
    latest: AirMoment | None = None
    heard_until: datetime | None = None
    ahead: Ahead | None = None


def strands(
    temperature: Sequence[Mean],
    humidity: Sequence[Mean],
    *,
    width: timedelta,
    max_gap: timedelta,
    limits: Callable[[datetime], AirLimits],
) -> tuple[tuple[AirMoment, ...], ...]:
    """Cut a series into stretches; nothing joins across a gap longer than ``max_gap``.

    A bucket's moment is its middle. A bucket without humidity has no damp or dry bank.
    """
    damp = {bucket.start: bucket.mean for bucket in humidity}
    found: list[list[AirMoment]] = []
    last: datetime | None = None
    for bucket in temperature:
        at = bucket.start + width / 2
        moment = air_moment(at, bucket.mean, damp.get(bucket.start), limits(at))
        if last is None or bucket.start - last - width > max_gap:
            found.append([])
        found[-1].append(moment)
        last = bucket.start
    return tuple(tuple(strand) for strand in found)


def light_spans(
    illuminance: Sequence[Mean], *, threshold_lx: float, width: timedelta, max_gap: timedelta
) -> tuple[LightSpan, ...]:
    """Light and dark as measured; a gap longer than ``max_gap`` stays bare."""
    spans: list[LightSpan] = []
    for bucket in illuminance:
        bright = bucket.mean >= threshold_lx
        end = bucket.start + width
        last = spans[-1] if spans else None
        if last is None or bucket.start - last.until > max_gap:
            spans.append(LightSpan(since=bucket.start, until=end, bright=bright))
        elif last.bright is bright:
            spans[-1] = LightSpan(since=last.since, until=end, bright=bright)
        else:
            spans[-1] = LightSpan(since=last.since, until=bucket.start, bright=last.bright)
            spans.append(LightSpan(since=bucket.start, until=end, bright=bright))
    return tuple(spans)


def dark_at(spans: Sequence[LightSpan], at: datetime) -> bool | None:
    """Whether it was dark then; None where the light was not measured."""
    for span in spans:
        if span.since <= at < span.until:
            return not span.bright
    return None


def spare_in_words(spare_c: float) -> str:
    """``2° to spare``: whole degrees, rounded towards trouble, never a promise."""
    return f"{math.floor(spare_c)}° to spare"
