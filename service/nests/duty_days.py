"""On which days and visits a duty is due, by its schedule alone. Pure.

Nothing here asks what was done; see ``duties_due``.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, tzinfo

from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    Duty,
    DutySlot,
    DutyTerms,
    EveryDays,
    OnWarmDay,
    Visit,
    VisitTimes,
)
from service.nests.duty_air import AirTold, DutyAir, FoodOut, NothingMeasured, Warmth
from service.nests.duty_places import nests_in, places_of
from service.nests.nest import Nest
from service.nests.place import Place
from service.nests.species import SpeciesSettings
from service.nests.stage_days import StageDays
from service.nests.visits import (
    VisitOfDay,
    day_began,
    held_instead,
    visit_at,
    visit_span,
    visits_held,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedDays:
    """The shed that days are asked of. ``now`` is UTC, ``zone`` the shed's own; ``places`` are
    in walking order.
    """

    nests: Sequence[Nest]
    places: Sequence[Place]
    now: datetime
    zone: tzinfo
    air: DutyAir = field(default_factory=NothingMeasured)
    times: VisitTimes = field(default_factory=VisitTimes)
    species: SpeciesSettings = field(default_factory=SpeciesSettings)

    @property
    def today(self) -> date:
        """The day that the present visit belongs to; in the small hours still the day before."""
        return visit_at(self.now, self.zone, self.times).day


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A duty is asked for; ``air`` is what was told where it hangs on the warmth."""

    air: AirTold | None = None

    @property
    def sure(self) -> bool:
        """Whether its condition is known to be met."""
        return self.air is None or self.air.warmth is Warmth.OVER


def terms_at(duty: Duty, until: datetime) -> DutyTerms | None:
    """What the duty asked for at a visit that lasted until then; None before it was made."""
    for terms in reversed(duty.every_terms):
        if terms.since < until:
            return terms
    return None


def visits_on(terms: DutyTerms, day: date, zone: tzinfo, times: VisitTimes) -> tuple[Visit, ...]:
    """At which visits of that day it may be due by the calendar, if it is due at all.

    On a warm day that is the first of its visits, and each that begins so many hours later; for
    food each visit that goes on when it is out.
    """
    if not _on_day(terms, day):
        return ()
    held, schedule = visits_held(times), terms.schedule
    if isinstance(schedule, BeforeItSours):
        out = put_out_at(schedule, day, zone)
        return tuple(one for one in held if visit_span(day, one, zone, times).until > out)
    chosen = {held_instead(visit, times) for visit in terms.visits}
    if isinstance(schedule, OnWarmDay):
        return _on_warm_day(schedule, chosen, day, zone, times)
    return tuple(visit for visit in held if visit in chosen)


def foreseen_visits(
    terms: DutyTerms, day: date, zone: tzinfo, times: VisitTimes
) -> tuple[Visit, ...]:
    """As ``visits_on`` for a day to come: food goes out once, at the day's last visit unless
    warmth asks sooner.
    """
    visits = visits_on(terms, day, zone, times)
    return visits[-1:] if isinstance(terms.schedule, BeforeItSours) else visits


def put_out_at(schedule: BeforeItSours, day: date, zone: tzinfo) -> datetime:
    """When food is put out on a day of the shed, UTC."""
    return datetime.combine(day, schedule.put_out, zone).astimezone(UTC)


def _on_warm_day(
    schedule: OnWarmDay, chosen: Collection[Visit], day: date, zone: tzinfo, times: VisitTimes
) -> tuple[Visit, ...]:
    again, last = timedelta(hours=schedule.every_h), None
    found = []
    for visit in visits_held(times):
        began = visit_span(day, visit, zone, times).since
        if (last is None and visit in chosen) or (last is not None and began - last >= again):
            found.append(visit)
            last = began
    return tuple(found)


def _on_day(terms: DutyTerms, day: date) -> bool:
    """Whether the calendar allows that day; stages and air are asked for each place."""
    schedule = terms.schedule
    if isinstance(schedule, ByCalendar):
        return day.weekday() in schedule.weekdays
    if isinstance(schedule, EveryDays):
        return day >= schedule.first and (day - schedule.first).days % schedule.days == 0
    return True


class PlaceDays:
    """One place of a shed, asked for its stages and its air; each is reckoned once."""

    def __init__(self, place: str, shed: ShedDays) -> None:
        self.place = place
        self.now = shed.now
        self.today = shed.today
        self._shed = shed
        by_id = {one.id: one for one in shed.places}
        self._nests = [nest for nest in nests_in(place, by_id, shed.nests) if not nest.off_since]
        self._stages = StageDays(self._nests, shed.species, shed.zone, shed.now)

    def last_look(self) -> tuple[date, int] | None:
        """Day and turn of the visit by which all its boxes were looked into; None before that."""
        if not self._nests or not all(nest.checks for nest in self._nests):
            return None
        by_then = min(nest.checks[-1].at for nest in self._nests)
        found = visit_at(by_then, self._shed.zone, self._shed.times)
        return (found.day, found.visit.turn)

    def looked_in(self, since: datetime, until: datetime) -> bool:
        """Whether each of its boxes was looked into in that time; False without a box."""
        return bool(self._nests) and all(
            any(since <= check.at < until for check in nest.checks) for nest in self._nests
        )

    def asks(self, terms: DutyTerms, visit: VisitOfDay, at: datetime) -> Asked | None:
        """Whether what the calendar allows is asked for here, by what is known at ``at``."""
        schedule = terms.schedule
        if isinstance(schedule, ByStage):
            return Asked() if self._by_stage(schedule, visit.day, at) else None
        if isinstance(schedule, OnWarmDay):
            since = day_began(visit.day, self._shed.zone)
            told = self._shed.air.warmth(self.place, schedule.over_c, since, max(at, since))
            return None if told.warmth is Warmth.NOT_OVER else Asked(air=told)
        if isinstance(schedule, BeforeItSours):
            return self._before_it_sours(schedule, visit, at)
        return Asked()

    def gets_food(self, schedule: BeforeItSours, day: date) -> bool:
        """Whether it is put out here on that day."""
        if not schedule.stages:
            return True
        put_out = put_out_at(schedule, day, self._shed.zone)
        return not self._stages.at(put_out).isdisjoint(schedule.stages)

    def _before_it_sours(
        self, schedule: BeforeItSours, visit: VisitOfDay, at: datetime
    ) -> Asked | None:
        """Asked while that visit goes on, if the food would be sour before the next begins."""
        put_out = put_out_at(schedule, visit.day, self._shed.zone)
        if at < put_out or not self.gets_food(schedule, visit.day):
            return None
        food = FoodOut(put_out=put_out, now=at, until=visit.span.until)
        told = self._shed.air.souring(self.place, schedule.keeping, food)
        return None if told.warmth is Warmth.NOT_OVER else Asked(air=told)

    def _by_stage(self, schedule: ByStage, day: date, at: datetime) -> bool:
        if self._stages.at(at).isdisjoint(schedule.stages):
            return False
        return self._stages.day_of_run(schedule.stages, day) % schedule.every == 0


def slots_on(day: date, duties: Sequence[Duty], shed: ShedDays) -> tuple[DutySlot, ...]:
    """All that the duties ask for on a day, past or to come, done or not; for a forecast.

    Days to come are reckoned by what the nests are expected to be busy with then. Duties that
    wait for a warm day are left out: nobody knows that day's air.
    """
    found = []
    for duty in duties:
        terms = duty.terms
        if terms.off or isinstance(terms.schedule, OnWarmDay):
            continue
        places = [
            PlaceDays(place, shed) for place in places_of(terms.where, shed.places, shed.nests)
        ]
        for visit in foreseen_visits(terms, day, shed.zone, shed.times):
            span = visit_span(day, visit, shed.zone, shed.times)
            of_day = VisitOfDay(day=day, visit=visit, span=span)
            found += [
                DutySlot(duty_id=duty.id, place=place.place, day=day, visit=visit)
                for place in places
                if _is_foreseen(place, terms, of_day)
            ]
    return tuple(found)


def _is_foreseen(place: PlaceDays, terms: DutyTerms, visit: VisitOfDay) -> bool:
    """Food that is put out is taken out that day, whatever the air."""
    if isinstance(terms.schedule, BeforeItSours):
        return place.gets_food(terms.schedule, visit.day)
    return place.asks(terms, visit, visit.span.since) is not None


def same_but_for_since(one: DutyTerms, other: DutyTerms) -> bool:
    """Whether both ask for the same; an edit that changes nothing is none."""
    return replace(one, since=other.since) == other
