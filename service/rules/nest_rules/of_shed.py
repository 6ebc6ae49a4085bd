"""What all rules on the nest book of a shed say at an instant. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from service.nests.as_known import as_known
from service.nests.due_dates import due_dates
from service.nests.duties_due import duties_due
from service.nests.duty import Duty, DutyDone, Missed, VisitTimes
from service.nests.duty_days import ShedDays
from service.nests.nest import Nest
from service.nests.own_ways import own_ways
from service.nests.place import Place
from service.nests.residents import residents
from service.nests.resting import sleeps
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing
from service.rules.limit import Priority
from service.rules.nest_rules import backup_old, duties_late
from service.rules.nest_rules.all_rules import NEST_RATIONALES, NEST_SETTABLES, OF_BOXES
from service.rules.nest_rules.backup_old import BackupKnown
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, Said
from service.rules.rule_settings import RuleSettings

KINDS = frozenset(one.kind for one in NEST_SETTABLES)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedBook:
    """All that the rules ask of the book. It may tell of times to come (a recording's does):
    those are passed over.

    ``weighings`` are by the id of the egg, oldest first. ``done`` holds the latest standing one
    of each duty and place. ``backup`` is None where nobody looks after backups.
    """

    nests: Sequence[Nest]
    places: Sequence[Place]
    species: SpeciesSettings
    weighings: Mapping[int, Sequence[Weighing]]
    duties: Sequence[Duty]
    done: Sequence[DutyDone]
    times: VisitTimes
    backup: BackupKnown | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What one rule says of one place; ``rule`` is its id, ``<kind>:<place>``."""

    rule: str
    place: str
    priority: Priority
    said: Said


def found_in(
    book: ShedBook, settings: RuleSettings, now: datetime, *, zone: tzinfo, shed: str
) -> tuple[Found, ...]:
    """What every rule that is switched on says at ``now``, causes before what they explain.

    ``shed`` is the place that duties and backups are told of.
    """
    nests = [as_known(nest, now, zone) for nest in book.nests]
    known = replace(book, nests=nests)
    of_boxes = [one for nest in nests for one in _of_box(nest, known, settings, now, zone)]
    of_shed = _of_shed(known, settings, now, zone)
    return (*of_boxes, *(_found(kind, shed, said) for kind, said in of_shed))


def numbers_of(settings: RuleSettings, kind: str) -> Mapping[str, float]:
    """The numbers of a kind of rule by their keys, as they are set."""
    return {key: settings.number(kind, key) for key in settings.known[kind].usual}


def _of_box(
    nest: Nest, book: ShedBook, settings: RuleSettings, now: datetime, zone: tzinfo
) -> Iterator[Found]:
    box = None if sleeps(nest) else _seen(nest, book, now, zone)
    for rule in OF_BOXES:
        kind = rule.settable.kind
        if settings.is_on(kind):
            said = CLEAR if box is None else rule.judge(box, numbers_of(settings, kind))
            yield _found(kind, nest.box.id, said)


def _seen(nest: Nest, book: ShedBook, now: datetime, zone: tzinfo) -> BoxSeen:
    own = own_ways(book.species, nest.before)
    here = residents(nest, own, zone, of_guests=book.species)
    weighings = {
        one.egg.id: [told for told in book.weighings.get(one.egg.id, ()) if told.at <= now]
        for one in here
    }
    return BoxSeen(
        nest=nest,
        dues=due_dates(nest, book.species, now, zone),
        residents=here,
        species=own,
        now=now,
        zone=zone,
        weighings=weighings,
    )


def _of_shed(
    book: ShedBook, settings: RuleSettings, now: datetime, zone: tzinfo
) -> Iterator[tuple[str, Said]]:
    kind = duties_late.KIND
    if settings.is_on(kind):
        yield kind, _duties(book, numbers_of(settings, kind), now, zone)
    kind = backup_old.KIND
    if settings.is_on(kind):
        numbers, known = numbers_of(settings, kind), book.backup
        said = CANNOT_TELL if known is None else backup_old.judge(known, now, numbers, zone)
        yield kind, said


def _duties(book: ShedBook, numbers: Mapping[str, float], now: datetime, zone: tzinfo) -> Said:
    # Only what is carried can be late, and none of that asks for the air.
    carried = [
        duty
        for duty in book.duties
        if any(terms.missed is Missed.CARRIED for terms in duty.every_terms)
    ]
    if not carried:
        return CLEAR
    shed = ShedDays(
        nests=book.nests,
        places=book.places,
        now=now,
        zone=zone,
        times=book.times,
        species=book.species,
    )
    names = {place.id: place.name for place in book.places}
    done = [one for one in book.done if one.at <= now]
    due = duties_due(carried, done, shed)
    return duties_late.judge(due, shed, numbers, lambda place: names.get(place, place))


def _found(kind: str, place: str, said: Said) -> Found:
    return Found(
        rule=f"{kind}:{place}",
        place=place,
        priority=NEST_RATIONALES[kind].priority,
        said=said,
    )
