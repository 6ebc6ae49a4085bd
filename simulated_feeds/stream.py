"""All messages of a simulated shed in the order of their arrival, a day at a time."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

import numpy as np

from simulated_feeds.day import ShedDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.agreement import refuse_impossible_faults
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.spans import DAY_MS, instant, ms_of
from simulated_feeds.senders.speaker import Block, Speaker

_EVER_MS = 2**62


class Sent(NamedTuple):
    """One message: when it arrives [UTC]; ``retain`` asks the broker to keep it."""

    at: datetime
    topic: str
    payload: bytes
    retain: bool = False


def messages(
    days: Iterable[ShedDay],
    senders: Sequence[Sender],
    *,
    seed: int,
    happenings: Sequence[Happening] = (),
    since: datetime | None = None,
    until: datetime | None = None,
    statuses: bool = False,
) -> Iterator[Sent]:
    """The messages that arrive in ``since <= at < until`` [UTC], in time order.

    Any two stretches agree byte for byte where they overlap, and equal arguments give equal
    bytes. Memory does not grow with the number of days.

    Args:
        days: from the shed's first day on, without a gap; no more are taken than needed.
        senders: each with a name of its own.
        seed: of all chance.
        happenings: those that senders suffer are taken, the rest is left alone.
        since: None is the first day's beginning.
        until: None is when the days end.
        statuses: whether retained signs of life are among them. A listener of the feeds
            alone, as one who replays a recording is, never hears them.

    Raises:
        ImpossibleParameterError: senders and happenings do not go together.
    """
    refuse_impossible_faults(senders, happenings)
    begin = -_EVER_MS if since is None else ms_of(since)
    end = _EVER_MS if until is None else ms_of(until)
    return _told(days, _speakers(senders, seed, happenings), begin, end, statuses=statuses)


def _speakers(
    senders: Sequence[Sender], seed: int, happenings: Sequence[Happening]
) -> list[Speaker]:
    twins = {one.who for one in happenings if one.what is What.TWIN}
    return [
        *(Speaker(sender, seed, happenings) for sender in senders),
        *(
            Speaker(sender, seed, happenings, twin=True)
            for sender in senders
            if sender.device in twins
        ),
    ]


def _told(
    days: Iterable[ShedDay], speakers: Sequence[Speaker], begin: int, end: int, *, statuses: bool
) -> Iterator[Sent]:
    for day in days:
        blocks = [block for speaker in speakers for block in speaker.day(day, begin, end)]
        yield from _in_order([block for block in blocks if statuses or not block.retain])
        if ms_of(day.air.at) + DAY_MS >= end:
            return


def _in_order(blocks: Sequence[Block]) -> Iterator[Sent]:
    """Merged by arrival; of two at one instant the block that stands first is first."""
    if not blocks:
        return
    arrivals = np.concatenate([block.arrivals for block in blocks])
    whose = np.repeat(np.arange(len(blocks)), [len(block.arrivals) for block in blocks])
    order = np.argsort(arrivals, kind="stable")
    for ms, number in zip(arrivals[order].tolist(), whose[order].tolist(), strict=True):
        block = blocks[number]
        yield Sent(instant(ms), block.topic, next(block.payloads), block.retain)
