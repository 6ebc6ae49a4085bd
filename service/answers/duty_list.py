"""The duties of now, read together: what is due, what was done today, what went by."""

from dataclasses import dataclass
from datetime import datetime

from service.answers.measured_air import MeasuredAir
from service.nests.duties_due import NOTED_DAYS, duties_due, duties_missed
from service.nests.duty import Duty, DutyDone, DutyDue, DutyMissed, VisitTimes
from service.nests.duty_days import ShedDays
from service.nests.visits import VisitOfDay, visit_at, visit_span, visits_held
from service.settings.settings import Settings
from service.store.duty_store import DutyStore
from service.store.nest_book import NestBook
from service.store.reading_store import ReadingStore


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyList:
    """``due`` in walking order; ``done`` stands and was told since the day of the present visit
    began, whichever day it was for; ``missed`` is what is dropped of today and yesterday.
    """

    duties: tuple[Duty, ...]
    due: tuple[DutyDue, ...]
    done: tuple[DutyDone, ...]
    missed: tuple[DutyMissed, ...]
    visit: VisitOfDay
    times: VisitTimes
    shed: ShedDays


def duty_list(
    book: NestBook, duties: DutyStore, readings: ReadingStore, settings: Settings, now: datetime
) -> DutyList:
    """Everything at ``now`` (UTC), by the shed's own days.

    Raises:
        StoreUnavailableError: one of the stores can't be read now.
    """
    zone, times = settings.site.timezone, duties.visit_times()
    shed = ShedDays(
        nests=tuple(book.nests()),
        places=tuple(book.places()),
        now=now,
        zone=zone,
        air=MeasuredAir(readings, settings),
        times=times,
        species=book.species(),
    )
    visit = visit_at(now, zone, times)
    known = tuple(duties.duties())
    first_day = visit.day.fromordinal(visit.day.toordinal() - NOTED_DAYS)
    done = (*duties.last_done(), *duties.done(first_day))
    began = visit_span(visit.day, visits_held(times)[0], zone, times).since
    return DutyList(
        duties=known,
        due=duties_due(known, done, shed),
        done=tuple(one for one in duties.told(began) if one.stands),
        missed=duties_missed(known, done, shed),
        visit=visit,
        times=times,
        shed=shed,
    )
