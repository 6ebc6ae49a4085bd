"""When a device lives, when it starts anew, and what its retained status says of it.

Each start begins a new run, which messages name and count in. A broker tells by the device's
will that it is gone, when it has heard nothing for one and a half keep-alives (MQTT 5.0,
section 3.1.2.10).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from simulated_feeds.day import AirDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.battery import dead_span
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.spans import (
    DAY_MS,
    Instants,
    Mask,
    Span,
    between,
    clipped,
    inside,
    merged,
    ms_of,
    spans_of,
)

WILL_AFTER_MS = 45_000
_EVER_MS = 2**62
_MINUTE_MS = 60_000
_MILLISECOND = timedelta(milliseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeDay:
    """One device's day. ``silent``: off; ``loops``: it does nothing but start again, at ``boots``.

    ``restarts`` are all starts of the day, in order; ``run_before`` is the number of the run
    that the day begins in. ``statuses`` tell when which status is retained.
    """

    silent: Sequence[Span]
    loops: Sequence[Span]
    boots: Instants
    restarts: Instants
    run_before: int
    statuses: Sequence[tuple[int, bool]]

    def speaks(self, first: Instants, last: Instants) -> Mask:
        """Which messages are sent: those in whose time, from first sample to last, it lives."""
        found = np.ones(len(first), dtype=np.bool_)
        for since, until in (*self.silent, *self.loops):
            found &= (last < since) | (first >= until)
        return found

    def runs(self, at: Instants) -> Instants:
        """The number of the run at some instants; the very first one is 0."""
        return self.run_before + np.searchsorted(self.restarts, at, side="right")


class Life:
    """One device, day after day. A twin lives only while a happening says so."""

    def __init__(self, sender: Sender, happenings: Sequence[Happening], *, twin: bool) -> None:
        self._sender = sender
        self._backlogs: list[Span] = []
        self._loops: list[Span] = []
        if twin:
            lives = merged(spans_of(happenings, What.TWIN, sender.device))
            self._off = between(lives, -_EVER_MS, _EVER_MS)
        else:
            sags = spans_of(happenings, What.BATTERY_SAGS, sender.device)
            stops = spans_of(happenings, What.STOPS, sender.device)
            self._off = merged([*stops, *(dead_span(sag) for sag in sags)])
            self._backlogs = merged(spans_of(happenings, What.BACKLOG, sender.device))
            self._loops = merged(spans_of(happenings, What.REBOOTS, sender.device))
        self._run: int | None = None
        self._off_since: int | None = None

    def day(self, air: AirDay) -> LifeDay:
        """How it fares today; days follow each other."""
        start = ms_of(air.at)
        end = start + DAY_MS
        silent = merged([*clipped(self._off, start, end), *self._without_mains(air, start)])
        loops = clipped(self._loops, start, end)
        boots = self._boots(start, end)
        boots = boots[~inside(boots, silent)]
        starts = [until for _, until in silent if until < end]
        is_off = bool(silent) and silent[0][0] == start
        if self._off_since is not None and not is_off:
            starts.append(start)
        if self._run is None and is_off:
            self._off_since = -_EVER_MS  # one that has not lived yet has made no will
        awake = np.array([until for _, until in self._loops if start <= until < end])
        ready = np.concatenate((boots, awake.astype(np.int64)))
        ready = ready[~inside(ready, silent)]
        restarts = np.unique(np.concatenate((np.array(starts, dtype=np.int64), ready)))
        statuses = self._statuses(silent, restarts, start, end)
        if self._run is None and not is_off:
            statuses.append((start, True))
        run_before = self._run or 0
        self._run = run_before + len(restarts)
        if not silent or silent[-1][1] < end:
            self._off_since = None
        elif silent[-1][0] > start or self._off_since is None:
            self._off_since = silent[-1][0]
        return LifeDay(
            silent=silent,
            loops=loops,
            boots=boots,
            restarts=restarts,
            run_before=run_before,
            statuses=sorted(statuses),
        )

    def _without_mains(self, air: AirDay, start: int) -> list[Span]:
        if self._sender.on_battery:
            return []
        dark = np.concatenate(([False], air.mains < 0.5, [False])).astype(np.int8)
        edges = start + _MINUTE_MS * np.flatnonzero(np.diff(dark))
        return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))

    def _boots(self, start: int, end: int) -> Instants:
        every = self._sender.reboots_every // _MILLISECOND
        found = [np.arange(a, b, every, dtype=np.int64) for a, b in self._loops]
        boots = np.concatenate([np.empty(0, dtype=np.int64), *found])
        return boots[(boots >= start) & (boots < end)]

    def _statuses(
        self, silent: list[Span], restarts: Instants, start: int, end: int
    ) -> list[tuple[int, bool]]:
        gone = [
            (since if since > start or self._off_since is None else self._off_since, until)
            for since, until in silent
        ]
        told = [
            (since + WILL_AFTER_MS, False)
            for since, until in (*gone, *self._backlogs)
            if since + WILL_AFTER_MS < until
        ]
        back = [(until, True) for _, until in self._backlogs]
        found = [(at, alive) for at, alive in (*told, *back) if start <= at < end]
        return [*found, *((at, True) for at in restarts.tolist())]
