"""By which fact each due date moved last, and how far. Pure.

The spans are reckoned anew before and after each fact, in the order in which the facts
became known: what differs moved by that fact.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo

from service.nests.due import Due, DueKey
from service.nests.due_dates import due_dates
from service.nests.known_facts import Fact, known_facts, nest_known_by
from service.nests.nest import Nest
from service.nests.span import Span, in_days
from service.nests.species import SpeciesSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """``before`` is where the span stood; ``fact`` says what moved it, ``at`` when it was
    known.
    """

    before: Span
    at: datetime
    fact: str


def moved_dues(
    nest: Nest,
    species: SpeciesSettings,
    now: datetime,
    zone: tzinfo = UTC,
    *,
    sat_told_at: datetime | None = None,
) -> dict[DueKey, Moved]:
    """The last move of each due that is listed now; those that never moved are absent.

    A move within the same days of the shed is none: nobody reads hours.
    """
    found: dict[DueKey, Moved] = {}
    facts = known_facts(nest, species, now, zone, sat_told_at=sat_told_at)
    open_ = {due.key for due in due_dates(nest, species, now, zone)}
    # From the newest fact back: most that is due moved lately, or was not due before.
    for place in range(len(facts) - 1, -1, -1):
        fact = facts[place]
        if not open_:
            break
        if not fact.words:
            continue
        # Both as told on that day, so that what time alone moves is laid to no fact.
        on = min(now, fact.at)
        before = _told(nest, facts[:place], species, on, zone)
        after = _told(nest, facts[: place + 1], species, on, zone)
        moved = _differences(before, after, fact, zone)
        found |= {key: move for key, move in moved.items() if key in open_}
        open_ = (open_ & before.keys()) - found.keys()
    return found


def _told(
    nest: Nest, facts: Sequence[Fact], species: SpeciesSettings, on: datetime, zone: tzinfo
) -> dict[DueKey, Due]:
    then = nest_known_by(nest, frozenset((fact.kind, fact.of) for fact in facts))
    return {due.key: due for due in due_dates(then, species, on, zone)}


def moved_in_words(moved: Moved, due: Due, zone: tzinfo) -> str:
    """``moved 2 days later: egg 5 was found on 4 March``."""
    was_first, was_last = _days(moved.before, zone)
    first, last = _days(Span(since=due.since, until=due.until), zone)
    begins, ends = (first - was_first).days, (last - was_last).days
    if begins == ends:
        told = f"moved {_count(abs(begins))} {'later' if begins > 0 else 'earlier'}"
    elif begins >= 0 >= ends:
        told = f"closer than {in_days(moved.before, zone)}"
    elif begins <= 0 <= ends:
        told = f"wider than {in_days(moved.before, zone)}"
    else:
        told = f"was {in_days(moved.before, zone)}"
    return f"{told}: {moved.fact}"


def _differences(
    before: dict[DueKey, Due], after: dict[DueKey, Due], fact: Fact, zone: tzinfo
) -> dict[DueKey, Moved]:
    found = {}
    for key in before.keys() & after.keys():
        was = Span(since=before[key].since, until=before[key].until)
        now = Span(since=after[key].since, until=after[key].until)
        if was != now and _days(was, zone) != _days(now, zone):
            found[key] = Moved(before=was, at=fact.at, fact=fact.words)
    return found


def _days(span: Span, zone: tzinfo) -> tuple[date, date]:
    return span.since.astimezone(zone).date(), span.until.astimezone(zone).date()


def _count(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"
