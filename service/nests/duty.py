"""Duties: things to do in the shed on a schedule, and what was done of them. Pure.

A duty is due once a place, day and visit. What was done is known by exactly these, and keeps
the words it was done by: an edit of the duty never reaches back.
"""

from dataclasses import dataclass
from datetime import date, datetime, time
from enum import IntEnum, StrEnum
from itertools import pairwise
from uuid import UUID

from service.climate.food_clock import USUAL, Keeping
from service.nests.stage import Stage

LONGEST_NAME = 60
LONGEST_CAUTION = 300
APART_MIN = 120


class Visit(StrEnum):
    """A round through the shed; a day has two or three."""

    MORNING = "morning"
    MIDDAY = "midday"
    EVENING = "evening"

    @property
    def turn(self) -> int:
        """Its turn in the day, from 0."""
        return list(Visit).index(self)


class Weekday(IntEnum):
    """As ``date.weekday()`` counts."""

    MONDAY = 0
    TUESDAY = 1
    WEDNESDAY = 2
    THURSDAY = 3
    FRIDAY = 4
    SATURDAY = 5
    SUNDAY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTimes:
    """From when on by the shed's own clock a visit counts as which; it lasts until the next.

    ``midday`` is None where the shed is visited twice a day; what is due at midday is due in
    the evening then. What is early in the day before the morning's time still belongs to the
    evening before. Between any two lie at least two hours, so that no change of the clocks
    turns them round.
    """

    morning: time = time(4, 0)
    midday: time | None = None
    evening: time = time(15, 0)

    def __post_init__(self) -> None:
        told = (self.morning, self.midday, self.evening)
        minutes = [at.hour * 60 + at.minute for at in told if at is not None]
        minutes.append(minutes[0] + 24 * 60)
        if any(later - earlier < APART_MIN for earlier, later in pairwise(minutes)):
            raise ValueError(
                "morning, midday and evening must follow each other with at least two hours between"
            )


class WhereKind(StrEnum):
    """For which places a duty is."""

    EVERY_CAGE = "every cage"
    EVERY_BOX = "every box"
    EVERY_FLIGHT = "every flight"
    SHED = "the shed"
    NAMED = "named places"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyWhere:
    """``places`` are ids, for ``NAMED`` alone; one that is no more is passed over."""

    kind: WhereKind
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ByCalendar:
    """On these days of the week; all seven are every day."""

    weekdays: frozenset[Weekday] = frozenset(Weekday)


@dataclass(frozen=True, slots=True, kw_only=True)
class EveryDays:
    """Every ``days`` days (1 to 366), counted from ``first``, which is one of them."""

    days: int
    first: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ByStage:
    """While the nest is in one of ``stages``: on the first day of that, then every ``every`` days.

    For a cage or flight it is enough that one of its boxes is in such a stage.
    """

    stages: frozenset[Stage]
    every: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class OnWarmDay:
    """On a day that has been over ``over_c`` [°C], then again every ``every_h`` hours of it."""

    over_c: float
    every_h: float = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeItSours:
    """Food that is put out every day at ``put_out`` by the shed's own clock: due at the last visit
    before it is sour, by the warmth that it stands in. The visits of its terms are not asked.
    It is put out while the nest is in one of ``stages``; without any, always.
    """

    put_out: time = time(7, 0)
    stages: frozenset[Stage] = frozenset()
    keeping: Keeping = USUAL


Schedule = ByCalendar | EveryDays | ByStage | OnWarmDay | BeforeItSours


@dataclass(frozen=True, slots=True, kw_only=True)
class RotaStep:
    """What to do differently, in words, for so many days (1 to 366)."""

    words: str
    days: int


class Missed(StrEnum):
    """What becomes of a duty whose time went by."""

    CARRIED = "carried"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyTerms:
    """What a duty asks for, from ``since`` (UTC) until the next edit.

    ``minutes`` is what one place typically takes. The ``rota``'s first step begins on
    ``rota_first``; empty without a rota. ``caution`` is shown wherever the duty is. A ``look``
    is done by looking into the box (or into all boxes of the place): a nest check of its time
    counts as done. ``off`` duties ask for nothing.
    """

    name: str
    where: DutyWhere
    schedule: Schedule
    since: datetime
    visits: tuple[Visit, ...] = (Visit.MORNING,)
    rota: tuple[RotaStep, ...] = ()
    rota_first: date | None = None
    minutes: float = 1.0
    missed: Missed = Missed.DROPPED
    caution: str = ""
    look: bool = False
    off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """``terms`` hold now; ``earlier`` are those before, oldest first.

    ``revision`` grows with every edit: who edits says which one was read.
    """

    id: int
    terms: DutyTerms
    earlier: tuple[DutyTerms, ...] = ()
    revision: int = 0

    @property
    def name(self) -> str:
        """As people read it now."""
        return self.terms.name

    @property
    def minutes(self) -> float:
        """What one place typically takes [min]."""
        return self.terms.minutes

    @property
    def caution(self) -> str:
        """The usual caution, or nothing."""
        return self.terms.caution

    @property
    def every_terms(self) -> tuple[DutyTerms, ...]:
        """All terms there ever were, oldest first."""
        return (*self.earlier, self.terms)


@dataclass(frozen=True, slots=True, kw_only=True)
class DutySlot:
    """What is done once: a duty at a place, for one visit of one day of the shed."""

    duty_id: int
    place: str
    day: date
    visit: Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyDone:
    """``slot`` was done at ``at`` (UTC), as ``words`` told it then. Undone ones stay, and count
    as not done.
    """

    id: int
    slot: DutySlot
    words: str
    at: datetime
    by: str | None = None
    form_id: UUID | None = None
    undone_at: datetime | None = None
    undone_by: str | None = None

    @property
    def stands(self) -> bool:
        """Whether it counts."""
        return self.undone_at is None


class DutyStanding(StrEnum):
    """How a due duty stands."""

    DUE = "due"
    CARRIED = "carried"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyDue:
    """A duty to be done now at ``place``, for ``day`` and ``visit``.

    ``words`` say what (with the rota's step of that day), ``why`` one plain sentence of the
    schedule. ``since`` to ``until`` (UTC) is its time; ``missed_since`` is the first day on
    which it was missed and not made up for, None where it was not. ``sure`` is False where
    nobody can tell whether the condition is met: it is listed then, and ``why`` says so.
    """

    duty: Duty
    place: str
    day: date
    visit: Visit
    words: str
    why: str
    since: datetime
    until: datetime
    standing: DutyStanding = DutyStanding.DUE
    missed_since: date | None = None
    sure: bool = True
    minutes: float = 1.0

    @property
    def slot(self) -> DutySlot:
        """What a tap marks as done."""
        return DutySlot(duty_id=self.duty.id, place=self.place, day=self.day, visit=self.visit)


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyMissed:
    """A duty whose time went by, and that is dropped: noted once, and not asked for again."""

    slot: DutySlot
    name: str
    words: str
    until: datetime
