"""What is to be done in the shed and what was: the answer to ``duties``."""

from collections.abc import Mapping, Sequence
from datetime import date, tzinfo

from typing_extensions import TypedDict

from service.answers.duty_list import DutyList
from service.answers.telling import rfc3339, rfc3339_or_none
from service.nests.duty import Duty, DutyDone, DutyDue, VisitTimes
from service.nests.duty_days import terms_at
from service.nests.duty_words import why_on
from service.nests.visits import held_instead, visit_span


class DutyAnswer(TypedDict):
    """``due`` is since when, ``why`` None for what was done by a duty that is no more.

    ``standing`` is "due", "carried" or "done"; ``sure`` is False where nobody can tell whether
    its condition is met. ``minutes`` are typical ones.
    """

    due: str
    place: str
    what: str
    why: str | None
    done_at: str | None
    minutes: float | None
    duty: int
    day: str
    visit: str
    standing: str
    missed_since: str | None
    sure: bool
    by: str | None


def duties_now(found: DutyList) -> list[DutyAnswer]:
    """What was done today, then what is due, in walking order."""
    zone = found.shed.zone
    by_id = {duty.id: duty for duty in found.duties}
    done = [_done(one, by_id, zone, found.times) for one in found.done]
    return [*done, *(_due(one) for one in found.due)]


def duties_done(
    done: Sequence[DutyDone], duties: Sequence[Duty], zone: tzinfo, times: VisitTimes
) -> list[DutyAnswer]:
    """What was done and stands, as it was told."""
    by_id = {duty.id: duty for duty in duties}
    return [_done(one, by_id, zone, times) for one in done if one.stands]


def _due(one: DutyDue) -> DutyAnswer:
    return DutyAnswer(
        due=rfc3339(one.since),
        place=one.place,
        what=one.words,
        why=one.why,
        done_at=None,
        minutes=one.minutes,
        duty=one.duty.id,
        day=one.day.isoformat(),
        visit=one.visit.value,
        standing=one.standing.value,
        missed_since=_day(one.missed_since),
        sure=one.sure,
        by=None,
    )


def _done(one: DutyDone, duties: Mapping[int, Duty], zone: tzinfo, times: VisitTimes) -> DutyAnswer:
    slot = one.slot
    span = visit_span(slot.day, held_instead(slot.visit, times), zone, times)
    duty = duties.get(slot.duty_id)
    terms = None if duty is None else terms_at(duty, span.until)
    return DutyAnswer(
        due=rfc3339(span.since),
        place=slot.place,
        what=one.words,
        why=None if terms is None else why_on(terms, slot.day),
        done_at=rfc3339_or_none(one.at),
        minutes=None if terms is None else terms.minutes,
        duty=slot.duty_id,
        day=slot.day.isoformat(),
        visit=slot.visit.value,
        standing="done",
        missed_since=None,
        sure=True,
        by=one.by,
    )


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
