"""Two devices with one name, noticed by how they take turns. Pure.

A device tells with each message which run it is in (``boot``) and counts its messages
(``seq``). One that was started anew begins another run and never goes back to the one before;
a message that a broker sends again repeats what was heard. So a run that goes on after
another one was heard is a second device. What a device had kept while it was away may belong
to the run before: it was measured before the new run began, and tells nothing.

The same holds for a name that is heard under two topics, where both tell the same measure: two
topics for two measures are how some senders speak.

What is made for every message is a named tuple, which takes a third of a dataclass's time.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import NamedTuple

TURNS_WITHIN = timedelta(minutes=10)
"""A run must go on within this time after it was heard last, for its return to be a turn."""

ALONE_FOR = timedelta(minutes=15)
"""After this time of one run alone there are no two of them any more."""

_MOST_RUNS = 4
_LARGEST_STEP = 200
_TURNS_WITHOUT_A_COUNT = 2
"""Where neither count nor time tells a repeat from a new message, one return is not enough."""


class Spoken(NamedTuple):
    """One message of one device. ``measured_at`` is the newest time in it.

    ``patience``: three of the device's intervals, where that is longer than the usual times.
    """

    topic: str
    at: datetime
    boot: str | None = None
    seq: int | None = None
    measured_at: datetime | None = None
    measures: frozenset[str] = frozenset()
    patience: timedelta = timedelta(0)


class Run(NamedTuple):
    """What was heard of one run: its numbers and times, each first and last."""

    topic: str
    boot: str | None
    first_seq: int | None
    last_seq: int | None
    first_measured: datetime | None
    last_measured: datetime | None
    last_at: datetime
    measures: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwinTrack:
    """All that is remembered of one name. ``runs``: the one heard last is the last.

    ``twins`` is the verdict; ``turns`` how often a run went on after another one;
    ``alone_since`` when the first message came after the last turn.
    """

    runs: tuple[Run, ...] = ()
    turns: int = 0
    twins: bool = False
    alone_since: datetime | None = None

    @property
    def topics(self) -> tuple[str, ...]:
        """The topics of the runs, each once."""
        return tuple(dict.fromkeys(run.topic for run in self.runs))


def hear(track: TwinTrack, spoken: Spoken) -> TwinTrack:
    """The track after one more message."""
    if _is_told_before(track, spoken) or _is_left_over(track, spoken):
        return track
    mine = _run_of(track, spoken)
    if mine is None:
        return _begun(track, spoken)
    before = track.runs[-1]
    others = tuple(run for run in track.runs if run is not mine)
    after = TwinTrack(
        runs=(*others, _going_on(mine, spoken)),
        turns=track.turns,
        twins=track.twins,
        alone_since=track.alone_since,
    )
    if before is mine or not _is_a_turn(mine, before, spoken):
        return _ended_if_alone(after, before.last_at, spoken)
    turns = track.turns + 1
    counted = spoken.seq is not None or spoken.measured_at is not None
    enough = turns >= (1 if counted else _TURNS_WITHOUT_A_COUNT)
    return replace(after, turns=turns, twins=track.twins or enough, alone_since=None)


def _is_told_before(track: TwinTrack, spoken: Spoken) -> bool:
    """The broker sent it again, or it tells nothing of its run."""
    if spoken.boot is None and spoken.seq is None and not spoken.measures:
        return True
    for run in track.runs:
        if run.topic != spoken.topic:
            continue
        if spoken.boot is None and spoken.seq is None and run.boot is not None:
            return True
        if run.boot == spoken.boot and _repeats(run, spoken):
            return True
    return False


def _repeats(run: Run, spoken: Spoken) -> bool:
    newer = (
        spoken.measured_at is not None
        and run.last_measured is not None
        and spoken.measured_at > run.last_measured
    )
    if spoken.seq is not None and run.first_seq is not None and run.last_seq is not None:
        return run.first_seq <= spoken.seq <= run.last_seq and not newer
    timed = spoken.measured_at is not None and run.last_measured is not None
    return timed and not newer


def _is_left_over(track: TwinTrack, spoken: Spoken) -> bool:
    """It was measured before the run that is heard now began."""
    if not track.runs or spoken.measured_at is None:
        return False
    newest = track.runs[-1]
    return (
        newest.boot != spoken.boot
        and newest.first_measured is not None
        and spoken.measured_at < newest.first_measured
    )


def _run_of(track: TwinTrack, spoken: Spoken) -> Run | None:
    """The run that this message goes on with; the one whose count is nearest."""
    alike = [
        run
        for run in track.runs
        if run.topic == spoken.topic and spoken.boot in (None, run.boot) and _follows(run, spoken)
    ]
    return max(alike, key=lambda run: run.last_seq or 0, default=None)


def _follows(run: Run, spoken: Spoken) -> bool:
    if spoken.seq is None or run.last_seq is None:
        return True
    return run.last_seq < spoken.seq <= run.last_seq + _LARGEST_STEP


def _begun(track: TwinTrack, spoken: Spoken) -> TwinTrack:
    begun = Run(
        topic=spoken.topic,
        boot=spoken.boot,
        first_seq=spoken.seq,
        last_seq=spoken.seq,
        first_measured=spoken.measured_at,
        last_measured=spoken.measured_at,
        last_at=spoken.at,
        measures=spoken.measures,
    )
    return replace(track, runs=(*track.runs[-(_MOST_RUNS - 1) :], begun), alone_since=spoken.at)


def _going_on(run: Run, spoken: Spoken) -> Run:
    return run._replace(
        last_seq=run.last_seq if spoken.seq is None else spoken.seq,
        last_measured=spoken.measured_at or run.last_measured,
        last_at=spoken.at,
        measures=run.measures | spoken.measures,
    )


def _is_a_turn(mine: Run, between: Run, spoken: Spoken) -> bool:
    """Whether ``mine`` going on after ``between`` shows that there are two devices."""
    if spoken.at - mine.last_at > max(TURNS_WITHIN, spoken.patience):
        return False
    if mine.boot is not None and between.boot is not None and mine.boot != between.boot:
        return True
    if mine.topic != between.topic:
        return bool(spoken.measures & between.measures)
    return True


def _ended_if_alone(track: TwinTrack, before: datetime, spoken: Spoken) -> TwinTrack:
    """No turn was taken this time. Silence proves nothing: after one the time runs anew."""
    if not (track.twins or track.turns):
        return track
    silent = spoken.at - before > max(TURNS_WITHIN, spoken.patience)
    if track.alone_since is None or silent:
        return replace(track, alone_since=spoken.at)
    if spoken.at - track.alone_since < max(ALONE_FOR, spoken.patience):
        return track
    return replace(track, runs=track.runs[-1:], turns=0, twins=False)
