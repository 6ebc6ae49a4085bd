"""What the rest of the service may ask of a store of readings.

watch is its only writer. One contract suite runs against every implementation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from devices.reading import Quantity
from service.climate.samples import FlaggedSample, Sample
from service.quality.flag import Flag, Judged


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One quantity of one sensor at one place over time."""

    id: int
    device: str
    place: str
    quantity: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredReading:
    """A value of a series. ``raw`` is what it was before a calibration; None without one."""

    measured_at: datetime
    value: float
    flag: Flag
    raw: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Latest:
    """The newest reading of a series, whatever its flag (see ``ReadingStore.latest``)."""

    series: Series
    measured_at: datetime
    received_at: datetime
    value: float
    flag: Flag
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bucket:
    """Readings with ``start <= measured_at < start + width``; flag FAIL is left out.

    ``coverage`` is the share of the width, 0 to 1, that lies within ``max_gap`` after a
    reading. A bucket without a reading is absent, not zero.
    """

    start: datetime
    minimum: float
    mean: float
    maximum: float
    count: int
    coverage: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mean:
    """The mean of the readings of a bucket, for a picture: what it covers is not asked."""

    start: datetime
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """How long a series was heard in a window, and since when it could have been.

    ``since`` is the beginning of the window, or its first reading where that came later.
    """

    since: datetime
    length: timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadLetter:
    """A message, or a record in one, that could not be used. Equal ones are counted.

    ``retained``: the broker had kept it, so that it may have been old when it came.
    """

    topic: str
    payload: bytes
    reason: str
    at: datetime
    count: int = 1
    retained: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stranger:
    """A measure that was understood and has no place yet, with its last value."""

    device: str
    measure: str
    topic: str
    value: float
    unit: str | None
    at: datetime
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Overheard:
    """The newest message of a topic that no feed describes, or whose feed can't read it.

    ``reason`` says which of the two, in words; ``count`` is how many came.
    """

    topic: str
    payload: bytes
    reason: str
    at: datetime
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A sensor gave a sign of life at ``at`` and must give the next before ``deadline``."""

    device: str
    at: datetime
    deadline: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Readings may be missing from here: the broker forgot our session, for example."""

    at: datetime
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What one commit carries.

    ``recorded`` says that it comes from a recording: its arrivals are of the past, and no sign
    that a clock was put back. What is ``understood_…`` by now is forgotten first: dead letters
    that could be read after all, topics of ``overheard``, and (device, measure) of strangers.
    ``deadlines`` are set as they are told, also backwards; then ``heard`` is noted.
    ``rejudged`` are readings, of this batch or stored before, whose flag and reason are others
    now: their values stay.
    """

    judged: Sequence[Judged] = ()
    rejudged: Sequence[Judged] = ()
    dead_letters: Sequence[DeadLetter] = ()
    strangers: Sequence[Stranger] = ()
    heard: Sequence[Heard] = ()
    deadlines: Sequence[Heard] = ()
    gaps: Sequence[Gap] = ()
    overheard: Sequence[Overheard] = ()
    understood_letters: Sequence[DeadLetter] = ()
    understood_topics: Sequence[str] = ()
    understood_strangers: Sequence[tuple[str, str]] = ()
    recorded: bool = False


class ReadingStore(Protocol):
    """Keeps judged readings, and what could not become one, for good."""

    def commit(self, batch: Batch) -> int:
        """Store all of it or nothing; return how many readings were new.

        A reading is known by series and ``measured_at``. One that is there already changes
        nothing: brokers redeliver. Where the value differs, the first is kept and the second
        becomes a dead letter. Where the sender's time was not believed, a message again is
        known by that time and its value, if it comes within 2 minutes of the first; another
        value, or a later arrival, is a reading of its own: a clock that stands still stamps
        all its readings alike. Whether values differ is asked of the raw ones: a calibration
        between two deliveries makes no second reading. Dead letters are capped at 10,000 (the
        oldest go), strangers at 200 senders and what is overheard at 200 topics (the longest
        unheard go). ``heard`` never moves a deadline backwards.

        Raises:
            StoreUnavailableError: nothing was stored; the caller keeps the batch.
        """
        ...

    def series(self) -> Sequence[Series]:
        """All series, by id."""
        ...

    def latest(self) -> Sequence[Latest]:
        """The newest reading of every series by ``measured_at``, by series id.

        Left out is what the last arrival of its series shows to be of a clock that ran ahead:
        readings that arrived later than it, or were measured more than 5 minutes later (a
        recording that is read in afterwards shows nothing of the kind). Where
        nothing has arrived since the clock was put right, ``measured_at`` may still lie in
        the future: whoever shows a value asks ``is_fresh`` (service.answers.latest).
        """
        ...

    def window(self, series_id: int, since: datetime, until: datetime) -> Sequence[StoredReading]:
        """Readings with ``since <= measured_at < until``, oldest first.

        Flagged ones are included: whether to use them is the caller's choice. Gaps are
        simply absent; nothing is filled in.
        """
        ...

    def samples(self, series_id: int, since: datetime, until: datetime) -> list[Sample]:
        """The same as plain pairs of time and value, several times as quick as ``window``.

        Readings flagged fail or missing are left out.
        """
        ...

    def flagged_samples(
        self, series_id: int, since: datetime, until: datetime
    ) -> list[FlaggedSample]:
        """All readings of ``window``, whatever their flags, as plain triples."""
        ...

    def first(self, series_id: int, since: datetime, until: datetime) -> datetime | None:
        """When the first reading of that time was measured, whatever its flag."""
        ...

    def buckets(
        self,
        series_id: int,
        since: datetime,
        until: datetime,
        *,
        width: timedelta,
        max_gap: timedelta,
    ) -> Sequence[Bucket]:
        """The window in steps of ``width`` from ``since`` on, oldest first."""
        ...

    def means(
        self, series_id: int, since: datetime, until: datetime, *, width: timedelta
    ) -> Sequence[Mean]:
        """The same steps with their means alone, in a tenth of the time."""
        ...

    def covered(
        self, series_id: int, since: datetime, until: datetime, *, max_gap: timedelta
    ) -> Covered | None:
        """How much of the window lies within ``max_gap`` after a reading; flag FAIL is left out.

        None where there is no reading before ``until``.
        """
        ...

    def reasons(
        self, series_id: int, since: datetime, until: datetime
    ) -> Sequence[tuple[str, int]]:
        """Why readings of the window were not flagged PASS, and how many for just that reason.

        One that was flagged without a reason is left out.
        """
        ...

    def deadlines(self) -> Sequence[Heard]:
        """When each sensor was last heard and must be heard next, by device."""
        ...

    def dead_letters(self, most: int | None = None) -> Sequence[DeadLetter]:
        """Kept dead letters, newest first; at most so many, None for all."""
        ...

    def dead_letters_of(self, topic: str, *, skip: int, most: int) -> Sequence[DeadLetter]:
        """Those of one topic, oldest first: at most so many after the first ``skip``."""
        ...

    def dead_letters_kept(self) -> int:
        """How many there are."""
        ...

    def dead_letters_dropped(self) -> int:
        """How many dead letters the cap has pushed out so far."""
        ...

    def strangers(self) -> Sequence[Stranger]:
        """Unknown senders and measures, last heard first."""
        ...

    def overheard(self) -> Sequence[Overheard]:
        """Topics that nobody has described yet, each with its newest message, newest first."""
        ...

    def gaps(self) -> Sequence[Gap]:
        """Known gaps, newest first."""
        ...

    def close(self) -> None:
        """Let go of the file. The store can't be used afterwards."""
        ...
