"""Which stage a nest will be in on a day to come, as chances. Pure.

Each stage begins somewhere within a span of days, and any moment of the span is taken to be as
likely as any other. A clutch is taken to go on: that all of it is lost is not foreseen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from service.nests.due import DueKind
from service.nests.span import Span
from service.nests.stage import Stage
from service.nests.workload.foreseen import Foreseen, first_of, last_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Begin:
    """From some moment within ``span`` on the nest is in ``stage``."""

    stage: Stage
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The stage a nest is in now, and those to come, in order."""

    now: Stage
    to_come: tuple[Begin, ...] = ()

    def shares(self, at: datetime) -> dict[Stage, float]:
        """The chance of each stage at an instant to come; they add up to 1."""
        chances: dict[Stage, float] = {}
        left, here = 1.0, self.now
        for begin in self.to_come:
            begun = min(left, _begun(begin.span, at))
            chances[here] = chances.get(here, 0.0) + left - begun
            left, here = begun, begin.stage
        chances[here] = chances.get(here, 0.0) + left
        return {one: chance for one, chance in chances.items() if chance > 0}


def course(now: Stage, begins: Sequence[Begin]) -> Course:
    """With its stages one after the other: none begins before the one it follows."""
    told: list[Begin] = []
    for one in begins:
        span = one.span.or_later(told[-1].span) if told else one.span
        told.append(Begin(stage=one.stage, span=span))
    return Course(now=now, to_come=tuple(told))


def begins_of(
    present: Stage, foreseen: Sequence[Foreseen], *, first_egg: Span | None, rest: Stage
) -> tuple[Begin, ...]:
    """The stages that follow ``present`` within one round.

    ``first_egg`` is when it is to begin, None where it has begun or does not. ``rest`` is what
    the nest goes back to when the last youngster feeds itself.
    """
    spans = (
        (Stage.LAYING, first_egg),
        (Stage.SITTING, last_of(foreseen, DueKind.CLUTCH_COMPLETE)),
        # Hatching begins with the first chick, rearing with the last.
        (Stage.HATCHING, first_of(foreseen, DueKind.HATCH)),
        (Stage.REARING, last_of(foreseen, DueKind.HATCH)),
        (Stage.LEAVING, first_of(foreseen, DueKind.FLEDGE)),
    )
    begins = [
        Begin(stage=one, span=span)
        for one, span in spans
        if span is not None and _ORDER.index(one) > _ORDER.index(present)
    ]
    gone = last_of(foreseen, DueKind.INDEPENDENT)
    if gone is not None:
        begins.append(Begin(stage=rest, span=gone))
    return tuple(begins)


_ORDER = tuple(Stage)


def _begun(span: Span, at: datetime) -> float:
    """The chance that what begins within the span has begun."""
    if at >= span.until:
        return 1.0
    if at <= span.since:
        return 0.0
    return (at - span.since) / (span.until - span.since)
