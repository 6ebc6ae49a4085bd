"""One sender's messages, a day at a time: what it measures, tells, loses, and sends late."""

from bisect import bisect_right
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import count
from operator import itemgetter
from typing import NamedTuple

import numpy as np

from simulated_feeds.chance import draws
from simulated_feeds.day import DAY, ShedDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.battery import Battery
from simulated_feeds.senders.faults import POWER_ON_C, ValueFaults
from simulated_feeds.senders.feeds import TEMPERATURE
from simulated_feeds.senders.life import Life, LifeDay
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.payloads import Batch, Letters, boot_of, status, written
from simulated_feeds.senders.senses import Told, sense_of
from simulated_feeds.senders.spans import (
    DAY_MS,
    Instants,
    Mask,
    Span,
    inside,
    instant,
    merged,
    ms_of,
    spans_of,
)

LATE_EVERY_MS = 20
"""How fast a sender tells what it had kept."""

_MILLISECOND = timedelta(milliseconds=1)
_FIRST_SAMPLE_MS = 500


class Block(NamedTuple):
    """Messages under one topic, in order: when each arrives, and the payloads one by one."""

    arrivals: Instants
    topic: str
    payloads: Iterator[bytes]
    retain: bool = False


class Speaker:
    """One device that speaks. A twin is a second one under the same name."""

    def __init__(
        self, sender: Sender, seed: int, happenings: Sequence[Happening], *, twin: bool = False
    ) -> None:
        if twin:
            between = (sender.offset + sender.interval / 2) % sender.interval
            sender = replace(sender, offset=between - between % _MILLISECOND)
        self._sender = sender
        self._name = f"{sender.device} twin" if twin else sender.device
        self._seed = seed
        self._life = Life(sender, happenings, twin=twin)
        own = () if twin else happenings
        self._sense = sense_of(sender, self._name, seed, own)
        self._faults = ValueFaults(sender.device, own)
        self._sags = spans_of(own, What.BATTERY_SAGS, sender.device)
        self._backlogs = merged(spans_of(own, What.BACKLOG, sender.device))
        self._wrong = [
            (*span, round(1000.0 * (one.amount or 0.0)))
            for one in own
            for span in spans_of((one,), What.WRONG_CLOCK, sender.device)
        ]
        self._drops = [
            (span, one.amount or 0.0)
            for one in own
            for span in spans_of((one,), What.DROPS, sender.device)
        ]
        self._battery: Battery | None = None
        self._told_to: tuple[int, int] = (-1, 0)
        """The last run that was heard, and its next number."""
        self._late = _Late(sender.keeps_messages, sender.topic, self._backlogs)

    def day(self, day: ShedDay, since: int, until: int) -> list[Block]:
        """What arrives of one day in ``since <= t < until`` [ms]; days follow each other.

        All that could come later is carried along whether it is asked for or not, so that a
        message has the same bytes in every stretch.
        """
        start = ms_of(day.air.at)
        if self._battery is None:
            self._battery = Battery(self._sender.battery, start, self._sags)
        life = self._life.day(day.air)
        at = start + self._sample_times()
        told = self._sense.day(day, (at - start) / 1000.0, self._battery.sagged(at))
        told = self._faults.applied(told, at)
        window = (since, until)
        blocks = [
            *self._regular(at, told, life, window),
            *self._from_loops(at, told, life, window),
            self._late.due(start, window),
        ]
        if self._sender.status_topic is not None:
            statuses = [(ms, self._status(alive)) for ms, alive in life.statuses]
            blocks.append(_block(statuses, self._sender.status_topic, window, retain=True))
        return [block for block in blocks if len(block.arrivals)]

    def _sample_times(self) -> Instants:
        step = self._sender.interval // _MILLISECOND
        first = self._sender.offset // _MILLISECOND
        return first + step * np.arange(DAY // self._sender.interval, dtype=np.int64)

    def _regular(self, at: Instants, told: Told, life: LifeDay, window: Span) -> Iterator[Block]:
        sender, each = self._sender, self._sender.samples_per_message
        first, last = at[::each], at[each - 1 :: each]
        speaks = life.speaks(first, last)
        runs = life.runs(first)
        seqs = self._numbered(runs, speaks)
        values = {name: one.reshape(-1, each) for name, one in told.items()}
        self._power_on(values, speaks & (runs > 0) & (seqs == 0))
        arrives = speaks & ~self._lost(last)
        waits = arrives & inside(last, self._backlogs)
        if waits.any():
            for _, payloads in written(sender, self._letters(first, values, runs, seqs, waits)):
                self._late.keep(last[waits], payloads)
        sent = arrives & ~waits & inside(last, (window,))
        for topic, payloads in written(sender, self._letters(first, values, runs, seqs, sent)):
            yield Block(last[sent], topic, payloads)

    def _from_loops(self, at: Instants, told: Told, life: LifeDay, window: Span) -> Iterator[Block]:
        """One message from each start of a device that only ever starts again."""
        when = life.boots + _FIRST_SAMPLE_MS
        heard = (when < int(at[0]) + DAY_MS) & inside(when, life.loops) & inside(when, (window,))
        when = when[heard & ~inside(when, self._backlogs)]
        if not len(when):
            return
        nearest = np.maximum(np.searchsorted(at, when, side="right") - 1, 0)
        values = {name: one[nearest].reshape(-1, 1) for name, one in told.items()}
        all_ = np.ones(len(when), dtype=np.bool_)
        self._power_on(values, all_)
        runs, seqs = life.runs(when), np.zeros(len(when), dtype=np.int64)
        letters = self._letters(when, values, runs, seqs, all_)
        for topic, payloads in written(replace(self._sender, samples_per_message=1), letters):
            yield Block(when, topic, payloads)

    def _power_on(self, values: dict[str, Batch], started: Mask) -> None:
        if self._sender.powers_on_at_85 and TEMPERATURE in values:
            values[TEMPERATURE] = values[TEMPERATURE].copy()
            values[TEMPERATURE][started, 0] = POWER_ON_C

    def _numbered(self, runs: Instants, speaks: Mask) -> Instants:
        """Each spoken message's number in its run; the count goes on from day to day."""
        found = np.zeros(len(runs), dtype=np.int64)
        spoken = np.flatnonzero(speaks)
        if not len(spoken):
            return found
        own = runs[spoken]
        order = np.arange(len(own))
        begins = np.concatenate(([True], own[1:] != own[:-1]))
        numbers = order - np.maximum.accumulate(np.where(begins, order, 0))
        numbers[own == self._told_to[0]] += self._told_to[1]
        self._told_to = (int(own[-1]), int(numbers[-1]) + 1)
        found[spoken] = numbers
        return found

    def _lost(self, at: Instants) -> Mask:
        found = np.zeros(len(at), dtype=np.bool_)
        if self._drops:
            beginning = instant(int(at[0]) - int(at[0]) % 60_000)
            drawn = draws(self._seed, f"{self._name} lost", beginning).random(len(at))
            for span, share in self._drops:
                found |= inside(at, (span,)) & (drawn < share)
        return found

    def _letters(
        self,
        first: Instants,
        values: dict[str, Batch],
        runs: Instants,
        seqs: Instants,
        chosen: Mask,
    ) -> Letters:
        at = first[chosen]
        stamps = at.copy()
        for since, until, ahead in self._wrong:
            stamps[(at >= since) & (at < until)] += ahead
        boots = {run: boot_of(self._seed, self._name, run) for run in set(runs[chosen].tolist())}
        letters = Letters(
            stamps=stamps,
            values={name: one[chosen] for name, one in values.items()},
            seqs=seqs[chosen],
            boots=[boots[run] for run in runs[chosen].tolist()],
        )
        if not self._sender.on_battery or self._battery is None:
            return letters
        percent = self._battery.percent(at)
        volts = self._battery.volts(percent)
        untold = letters.seqs % self._sender.battery.told_every != 0
        return replace(letters, battery=np.where(untold, np.nan, percent), volts=volts)

    def _status(self, alive: bool) -> bytes:
        return status(self._sender.device, alive=alive)


class _Late:
    """What a sender keeps while nobody hears it, and tells when it is heard again.

    It has room for so many messages of one silence; the oldest go first.
    """

    def __init__(self, room: int, topic: str, backlogs: Sequence[Span]) -> None:
        self._topic = topic
        self._room = room
        self._ends = [until for _, until in backlogs]
        self._kept: dict[int, deque[bytes]] = {}
        self._under_way: list[tuple[int, bytes]] = []

    def keep(self, at: Instants, payloads: Iterable[bytes]) -> None:
        for ms, payload in zip(at.tolist(), payloads, strict=True):
            heard = self._ends[bisect_right(self._ends, ms)]
            self._kept.setdefault(heard, deque(maxlen=self._room)).append(payload)

    def due(self, start: int, window: Span) -> Block:
        """What arrives on the day from ``start`` on, in the order in which it was kept."""
        end = start + DAY_MS
        for heard in [one for one in self._kept if one < end]:
            self._under_way += zip(count(heard, LATE_EVERY_MS), self._kept.pop(heard), strict=False)
        # A silence may end while what was kept in the one before is still being told.
        self._under_way.sort(key=itemgetter(0))
        today = [one for one in self._under_way if one[0] < end]
        self._under_way = self._under_way[len(today) :]
        return _block(today, self._topic, window)


def _block(
    sent: Sequence[tuple[int, bytes]], topic: str, window: Span, *, retain: bool = False
) -> Block:
    chosen = [one for one in sent if window[0] <= one[0] < window[1]]
    arrivals = np.array([at for at, _ in chosen], dtype=np.int64)
    return Block(arrivals, topic, iter([payload for _, payload in chosen]), retain)
