"""Minutes a day for the weeks to come: from due dates and duties, by the keeper's own pace. Pure.

Each piece of work falls on a day with a chance: for sure by the calendar, perhaps by a stage that
may have begun or by a due date that has several days. A due date is taken to be met on any day
of its span alike; one whose span is over is work of today. What falls on one day is added up
with its chances; the low and the high end hold the day eight times in ten, if the minutes of
the work are right. How long the keeper really takes is the pace: own minutes over typical ones.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import product
from math import prod

from service.nests.place import PlaceKind
from service.nests.span import Span
from service.nests.stage import Stage
from service.nests.workload.asked import Asking, Busy, Piece, asked_of, in_stages
from service.nests.workload.day_minutes import (
    Chances,
    Minutes,
    mean,
    mixed,
    perhaps,
    quantile,
    together,
)
from service.nests.workload.foreseen import Foreseen
from service.nests.workload.ground import CageAhead, Ground
from service.nests.workload.own_pace import NO_PACE, Pace
from service.nests.workload.typical_minutes import DUE_MIN

WEEKS = 8
LOW, HIGH = 0.10, 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAhead:
    """``minutes`` are by the keeper's own pace where it is known, else typical ones.

    ``parts`` say of what they are made on the average, the largest first; they add up to
    ``minutes.mean``. ``may_add`` [min] is what the weather may bring; it is in the high end.
    """

    day: date
    minutes: Minutes
    parts: tuple[tuple[str, float], ...]
    may_add: float = 0.0


def forecast(
    ground: Ground, asking: Asking, now: datetime, *, pace: Pace = NO_PACE, weeks: int = WEEKS
) -> tuple[DayAhead, ...]:
    """The days of so many weeks, today first."""
    today = now.astimezone(asking.zone).date()
    days = [today + timedelta(days=number) for number in range(7 * weeks)]
    return tuple(_work_of(ground, asking, day, now).day_ahead(day, pace) for day in days)


def peaks(days: Sequence[DayAhead], number: int = 3) -> tuple[DayAhead, ...]:
    """The days that take longest on the average, the longest first."""
    return tuple(sorted(days, key=lambda one: (-one.minutes.mean, one.day))[:number])


def _work_of(ground: Ground, asking: Asking, day: date, now: datetime) -> "_Work":
    work, span = _Work(), _day_span(day, asking.zone)
    noon = span.since + (span.until - span.since) / 2
    in_all = [box.course.shares(noon) for cage in ground.cages for box in cage.boxes]
    for spot in ground.others:
        busy = _any_of(in_all if spot.kind is PlaceKind.SHED else [])
        work.add_alternatives([(1.0, asked_of(asking, spot, day, busy))])
    for cage in ground.cages:
        if cage.since is None or cage.since < span.until:
            work.add_alternatives(list(_of_cage(cage, asking, day, noon)))
            for box in cage.boxes:
                work.add_dues(box.foreseen, span, now)
    return work


class _Work:
    """What falls on one day, gathered."""

    def __init__(self) -> None:
        self.chances: list[Chances] = []
        self.parts: dict[str, float] = {}
        self.may_add = 0.0

    def add_alternatives(self, told: Sequence[tuple[float, Sequence[Piece]]]) -> None:
        """One of these comes, each with its chance."""
        may_add = 0.0
        for chance, pieces in told:
            for piece in pieces:
                if piece.foreseen:
                    self._part(piece.part, piece.minutes * piece.chance * chance)
            may_add = max(may_add, sum(one.minutes for one in pieces if not one.foreseen))
        self.may_add += may_add
        self.chances.append(mixed([(chance, _chances(pieces)) for chance, pieces in told]))

    def add_dues(self, foreseen: Iterable[Foreseen], day: Span, now: datetime) -> None:
        """What of it falls on this day."""
        for one in foreseen:
            minutes = DUE_MIN.get(one.kind, 0.0)
            chance = one.chance * share_on(one.span, day, now) if minutes else 0.0
            if chance:
                self._part(one.kind.value, minutes * chance)
                self.chances.append(perhaps(minutes, chance))

    def day_ahead(self, day: date, pace: Pace) -> DayAhead:
        chances = together(self.chances)
        average = mean(chances)
        # What is rare and long may lift the average over what most days come to.
        low = min(quantile(chances, LOW), average)
        high = max(quantile(chances, HIGH), average) + self.may_add
        times, slow, fast = 1.0, 1.0, 1.0
        if pace.middle is not None and pace.spread is not None:
            times, fast, slow = pace.middle.value, pace.spread.low, pace.spread.high
        parts = sorted(self.parts.items(), key=lambda one: (-one[1], one[0]))
        return DayAhead(
            day=day,
            minutes=Minutes(mean=average * times, low=low * fast, high=high * slow),
            parts=tuple((name, minutes * times) for name, minutes in parts),
            may_add=self.may_add * times,
        )

    def _part(self, name: str, minutes: float) -> None:
        if minutes:
            self.parts[name] = self.parts.get(name, 0.0) + minutes


def _chances(pieces: Iterable[Piece]) -> dict[float, float]:
    return together(perhaps(one.minutes, one.chance) for one in pieces if one.foreseen)


def _of_cage(
    cage: CageAhead, asking: Asking, day: date, noon: datetime
) -> Iterator[tuple[float, tuple[Piece, ...]]]:
    """All that its boxes may be busy with at noon, each combination with its chance."""
    for combination in product(*(box.course.shares(noon).items() for box in cage.boxes)):
        chance = prod(share for _, share in combination)
        stages = [stage for stage, _ in combination]
        pieces = list(asked_of(asking, cage.spot, day, in_stages(stages)))
        for box, stage in zip(cage.boxes, stages, strict=True):
            pieces += asked_of(asking, box.spot, day, in_stages([stage]))
        yield chance, tuple(pieces)


def _any_of(nests: Sequence[Mapping[Stage, float]]) -> Busy:
    """The chance that one nest or more is in such a stage."""
    return lambda wanted: (
        1 - prod(1 - sum(shares.get(stage, 0.0) for stage in wanted) for shares in nests)
    )


def share_on(due: Span, day: Span, now: datetime) -> float:
    """Which share of what is left of a due span falls on a day; all of it on the day of ``now``
    where nothing is left, as it does where the span is one instant of that day.
    """
    since, until = max(due.since, now), max(due.until, now)
    if since == until:
        return float(day.since <= since < day.until)
    inside = min(until, day.until) - max(since, day.since)
    return max(0.0, inside / (until - since))


def _day_span(day: date, zone: tzinfo) -> Span:
    """A local day in UTC; days of 23 and 25 hours come out right."""
    begin, end = (
        datetime.combine(one, time(), zone).astimezone(UTC)
        for one in (day, day + timedelta(days=1))
    )
    return Span(since=begin, until=end)
