"""How long the work will take, read together: from the book, the duties and the timed visits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Protocol

from service.nests.due_dates import due_dates
from service.nests.season_sum import sum_of
from service.nests.share import Share
from service.nests.visits import day_began, visits_held
from service.nests.workload.asked import Asking
from service.nests.workload.forecast import DayAhead, forecast
from service.nests.workload.ground import Ground, KnownNest, Supposed, WhatIf, ground_of, runs
from service.nests.workload.order_statistics import Middle, middle
from service.nests.workload.own_pace import Pace, own_pace
from service.nests.workload.timed_visit import Timed, timed, whole_days
from service.nests.workload.usual_round import UsualRound
from service.settings.settings import Settings
from service.store.duty_store import DutyStore
from service.store.nest_book import NestBook
from service.store.visit_time_store import VisitTimeStore

DAYS_BACK = 56
"""Older visits tell of another season's hands and another shed."""


class WorkStores(Protocol):
    """The stores that it is read from; records.db has them all, and so have the pages."""

    @property
    def nest_book(self) -> NestBook: ...

    @property
    def duties(self) -> DutyStore: ...

    @property
    def visit_times(self) -> VisitTimeStore: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkAhead:
    """``days`` are those to come, ``ground`` the shed they were reckoned for, with
    what is supposed of it.

    ``timed``, ``taken`` (days that were timed whole, in minutes) and ``a_day`` (their median;
    None where they are too few) are of the last eight weeks. ``hatching`` are the eggs that
    the chance of hatching rests on; None where too few are known and the usual is supposed.
    ``duties`` says whether any is set.
    """

    days: tuple[DayAhead, ...]
    what_if: WhatIf
    ground: Ground
    pace: Pace
    timed: Timed
    a_day: Middle | None
    taken: tuple[tuple[date, float], ...]
    usual: UsualRound
    hatching: Share | None
    duties: bool


def work_ahead(
    stores: WorkStores, settings: Settings, now: datetime, what_ifs: Sequence[WhatIf] = (WhatIf(),)
) -> tuple[WorkAhead, ...]:
    """One for each ``what_if``; all else is read once, at ``now`` (UTC).

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    zone, species = settings.site.timezone, stores.nest_book.species()
    duties, times = tuple(stores.duties.duties()), stores.duties.visit_times()
    asking = Asking(duties=duties, times=times, zone=zone)
    known = [
        KnownNest(nest=nest, dues=due_dates(nest, species, now, zone))
        for nest in stores.nest_book.nests()
    ]
    places = stores.nest_book.places()
    hatching = sum_of(stores.nest_book.clutches()).hatched_share
    usual = usual_round(hatching)
    found, pace = _timed(stores, asking, now)
    days = whole_days(found.took, len(visits_held(times)))
    told = []
    for what_if in what_ifs:
        supposed = Supposed(species=species, usual=usual, what_if=what_if)
        ground = ground_of(places, known, supposed, now)
        told.append(
            WorkAhead(
                days=forecast(ground, asking, now, pace=pace),
                what_if=what_if,
                ground=ground,
                pace=pace,
                timed=found,
                a_day=middle(list(days.values())),
                taken=tuple(days.items()),
                usual=usual,
                hatching=hatching if hatching.says_something else None,
                duties=bool(duties),
            )
        )
    return tuple(told)


def runs_now(stores: WorkStores, now: datetime) -> int:
    """How many cages have a pair, an egg or a youngster.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    known = [KnownNest(nest=nest) for nest in stores.nest_book.nests()]
    supposed = Supposed(species=stores.nest_book.species(), usual=UsualRound())
    return runs(ground_of(stores.nest_book.places(), known, supposed, now))


def usual_round(hatching: Share) -> UsualRound:
    """The usual, with the book's own share of hatched eggs where it says something."""
    if not hatching.says_something or hatching.value is None:
        return UsualRound()
    source = f"{hatching.count} of {hatching.of} eggs of this book hatched"
    return UsualRound(hatching=hatching.value, hatching_source=source)


def _timed(stores: WorkStores, asking: Asking, now: datetime) -> tuple[Timed, Pace]:
    first = now.astimezone(asking.zone).date() - timedelta(days=DAYS_BACK)
    visits = stores.visit_times.visits(first)
    found = timed(visits, now)
    if not found.took:
        return found, own_pace((), (), (), (), ())
    since: date = found.took[0].day
    return found, own_pace(
        found.took,
        visits,
        stores.duties.done(since),
        stores.visit_times.looks(day_began(since, asking.zone)),
        asking.duties,
    )
