"""A fortnight of duties in the simulated shed, done visit by visit as a keeper would.

All of them are done but those of the present visit and what this keeper puts off: the trays of
the last cage. So there is something to do, and something that was missed.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from uuid import NAMESPACE_OID, uuid5

from service.answers.measured_air import MeasuredAir
from service.nests.duties_due import duties_due
from service.nests.duty import DutyDue
from service.nests.duty_days import ShedDays
from service.nests.duty_templates import TEMPLATES, terms_of
from service.nests.place import PlaceKind
from service.nests.visits import VisitOfDay, visit_at, visits_back_from
from service.settings.settings import Settings
from service.wiring import Stores

DAYS = 14
LASTS = timedelta(hours=3)
"""So long after a visit begins to count the keeper is there."""

PUT_OFF = "trays"


def tell_duties(settings: Settings, stores: Stores, now: datetime) -> None:
    """Add every template as if it had been there for a fortnight, and do what was due since.

    Raises:
        StoreUnavailableError: the records can't be written now.
    """
    duties, zone = stores.records.duties, settings.site.timezone
    times = duties.visit_times()
    began = now - timedelta(days=DAYS)
    today = visit_at(began, zone, times).day
    terms = [terms_of(one, now=began, today=today) for one in TEMPLATES]
    form_id = uuid5(NAMESPACE_OID, "the duties of the demo")
    ids = duties.add(terms, by=None, form_id=form_id)
    left = ids[[one.key for one in TEMPLATES].index(PUT_OFF)]
    shed = ShedDays(
        nests=tuple(stores.records.nest_book.nests()),
        places=tuple(stores.records.nest_book.places()),
        now=now,
        zone=zone,
        air=MeasuredAir(stores.readings, settings),
        times=times,
        species=stores.records.nest_book.species(),
    )
    cages = [place.id for place in shed.places if place.kind is PlaceKind.CAGE]
    for visit in _gone_by(shed, began):
        words = {
            due.slot: due.words
            for due in _due_at(visit, shed, stores)
            if (due.duty.id, due.place) != (left, cages[-1] if cages else "")
        }
        told = uuid5(form_id, f"{visit.day} {visit.visit}")
        duties.mark_done(words, at=visit.span.since + LASTS, by=None, form_id=told)


def _gone_by(shed: ShedDays, began: datetime) -> Iterator[VisitOfDay]:
    """The visits before the present one, oldest first."""
    gone = []
    for visit in visits_back_from(shed.now, shed.zone, shed.times):
        if visit.span.since < began:
            break
        if visit.span.until <= shed.now:
            gone.append(visit)
    yield from reversed(gone)


def _due_at(visit: VisitOfDay, shed: ShedDays, stores: Stores) -> tuple[DutyDue, ...]:
    """What the list showed then, but for looks: the checks of the book tell of those."""
    duties = stores.records.duties
    then = ShedDays(
        nests=shed.nests,
        places=shed.places,
        now=visit.span.since + LASTS,
        zone=shed.zone,
        air=shed.air,
        times=shed.times,
        species=shed.species,
    )
    due = duties_due(duties.duties(), duties.last_done(), then)
    return tuple(one for one in due if not one.duty.terms.look and one.sure)
