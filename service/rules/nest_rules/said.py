"""What a rule on the nest book sees, and what it says. Pure.

Three answers, as of every rule: breached, clear, cannot tell. What nobody looked at is never
taken for fine: it keeps an alarm as it is, and raises none.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from service.nests.due import Due, DueKind
from service.nests.nest import Nest, NestCheck
from service.nests.residents import Resident
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing
from service.rules.limit import Assessment
from service.rules.rationale import Rationale
from service.rules.settable import Settable


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSeen:
    """One nest as it was known at ``now`` (UTC), awake: its box is not asleep with the season.

    ``dues`` are those of the nest, ``residents`` what lies and sits in it. ``species`` has the
    hen's own ways in it. ``weighings`` are by the id of the egg, oldest first. ``zone`` is the
    shed's, for words.
    """

    nest: Nest
    dues: tuple[Due, ...]
    residents: tuple[Resident, ...]
    species: SpeciesSettings
    now: datetime
    zone: tzinfo
    weighings: Mapping[int, Sequence[Weighing]] = field(default_factory=dict)

    @property
    def last_look(self) -> NestCheck | None:
        """The newest look into the box that still tells of what is in it."""
        return self.nest.checks[-1] if self.nest.checks else None

    def of_kind(self, kind: DueKind) -> tuple[Due, ...]:
        """The dues of one kind."""
        return tuple(due for due in self.dues if due.kind is kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """``text`` is the alarm's, for people, where it is breached; empty else.

    ``newest`` is since when the latest of what it concerns concerns it: a second egg out of
    sight is news to a person who has acknowledged the first. ``value`` and ``setpoint`` are in
    the rule's own unit. ``because_of`` names the kind of the rule at the same place that is
    behind this one. ``ran_out``: it is clear because nothing can be done any more, not because
    somebody told of what was done.
    """

    assessment: Assessment
    newest: datetime | None = None
    value: float = 0.0
    setpoint: float = 0.0
    text: str = ""
    because_of: str | None = None
    ran_out: bool = False


CLEAR = Said(assessment=Assessment.CLEAR)
RAN_OUT = Said(assessment=Assessment.CLEAR, ran_out=True)
CANNOT_TELL = Said(assessment=Assessment.CANNOT_TELL)


def breached(text: str, *, newest: datetime, value: float, setpoint: float) -> Said:
    """The rule is breached; the arguments are as in ``Said``."""
    return Said(
        assessment=Assessment.BREACHED, text=text, newest=newest, value=value, setpoint=setpoint
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NestRule:
    """A rule on one box. ``judge`` is given the numbers that are set, by their keys."""

    settable: Settable
    rationale: Rationale
    judge: Callable[[BoxSeen, Mapping[str, float]], Said]
