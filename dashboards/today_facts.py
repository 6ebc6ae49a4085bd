"""What today's list is made from, read from the stores."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import uuid4

from dashboards.night_there import LastNights
from dashboards.page_services import PageServices
from dashboards.shed_air import ShedAir
from dashboards.views.box_look import BoxLook, box_look
from dashboards.views.local_words import near_day
from dashboards.views.night_words import NightWords, night_words
from dashboards.views.today_stops import Walk, stop_ids, stops_of
from dashboards.views.today_view import TodayView
from dashboards.views.tonight_words import tonight_sentences
from dashboards.wall_watch import WallSnapshot
from service.answers.duty_list import DutyList, duty_list
from service.answers.tonight_so_far import tonight_so_far
from service.nests.duty import DutyMissed, DutySlot
from service.nests.duty_words import words_on
from service.nests.place import PlaceKind
from service.nests.visits import day_began
from service.people.role import Role, Visitor


def listed_now(services: PageServices, now: datetime) -> DutyList:
    """The duties of now.

    Raises:
        StoreUnavailableError: a store can't be read now.
    """
    return duty_list(services.nest_book, services.duties, services.readings, services.settings, now)


def duty_words(
    services: PageServices, slots: Sequence[DutySlot], now: datetime
) -> dict[DutySlot, str]:
    """The words by which slots are done: as they are due now, else as the duty tells.

    A duty that was taken away meanwhile is left out.
    """
    listed = listed_now(services, now)
    due = {one.slot: one.words for one in listed.due}
    terms = {duty.id: duty.terms for duty in listed.duties}
    return {
        slot: due.get(slot) or words_on(terms[slot.duty_id], slot.day)
        for slot in slots
        if slot in due or slot.duty_id in terms
    }


def today_view(
    services: PageServices, snapshot: WallSnapshot, who: Visitor, *, at: str | None
) -> TodayView:
    """The whole page; ``at`` is the stop at which something was done last.

    Raises:
        StoreUnavailableError: a store can't be read now.
    """
    now, zone = services.clock.now(), services.settings.site.timezone
    names = {place.id: place.name for place in services.settings.places}
    listed = listed_now(services, now)
    nights = _nights(services, now, names)
    above = _told_above(services, nights)
    began = listed.visit.span.since
    walk = Walk(
        places=services.settings.places,
        due=listed.due,
        done=[one for one in listed.done if one.at >= began],
        looks=_looks(services, listed, now, names),
        nights=nights,
        suggestions=services.suggestions.suggestions(began),
        since=began,
        told_above=above.place if above else "",
        only_by=who.name if who.role is Role.HELPER else None,
    )
    stops = tuple(stops_of(walk, now, zone, at=at))
    left = [stop for stop in stops if stop.standing in ("now", "later")]
    return TodayView(
        title=f"{listed.visit.visit.value.capitalize()} visit",
        verdict=snapshot.view.verdict.sentences[0],
        shelved=snapshot.view.shelved or "",
        night=above.words if above else "",
        tonight=_tonight(services, now),
        stops=stops,
        done=sum(stop.standing == "done" for stop in stops),
        todo=len(left),
        looks=sum(len(stop.wanted) for stop in stops),
        dropped=_dropped(listed.missed, names, listed.visit.day),
        no_duties=not listed.duties,
        low=tuple(one.what for one in services.running_low.open()),
        form_id=str(uuid4()),
    )


def _tonight(services: PageServices, now: datetime) -> str:
    """The first sentence of what is expected; empty where nothing may be said."""
    settings = services.settings
    expected = tonight_so_far(services.outlook, services.readings, settings, now)
    if expected is None:
        return ""
    return tonight_sentences(expected, settings.limits, now, settings.site.timezone)[0]


def _looks(
    services: PageServices, listed: DutyList, now: datetime, names: Mapping[str, str]
) -> dict[str, BoxLook]:
    """A box that a duty wants looked into once a visit is looked into at this one; any other
    was looked into if it was today.
    """
    zone = services.settings.site.timezone
    began, today = listed.visit.span.since, day_began(listed.visit.day, zone)
    by_duty = {one.place for one in listed.due if one.duty.terms.look}
    species = listed.shed.species
    return {
        nest.box.id: box_look(
            nest,
            species,
            now,
            zone,
            since=began if nest.box.id in by_duty else min(began, today),
            names=names,
        )
        for nest in listed.shed.nests
        if nest.off_since is None
    }


def _nights(
    services: PageServices, now: datetime, names: Mapping[str, str]
) -> dict[str, NightWords]:
    """By the ids of stops: at the box's own sensor, else at what is around it."""
    settings = services.settings
    air = ShedAir(services.readings, settings, tuple(services.readings.latest()), now)
    last = LastNights(air, services.readings, settings, now)
    zone = settings.site.timezone
    belongs = stop_ids(settings.places)
    found: dict[str, NightWords] = {}
    for place in settings.places:
        if place.kind in (PlaceKind.BOX, PlaceKind.SHED):
            told = night_words(last.at(place.id), names, zone)
            worse = found.get(belongs[place.id])
            if worse is None or told.unusual > worse.unusual:
                found[belongs[place.id]] = told
    return found


def _told_above(services: PageServices, nights: Mapping[str, NightWords]) -> NightWords | None:
    sheds = [place.id for place in services.settings.places if place.kind is PlaceKind.SHED]
    return next((nights[shed] for shed in sheds if shed in nights), None)


def _dropped(
    missed: Sequence[DutyMissed], names: Mapping[str, str], today: date
) -> tuple[str, ...]:
    """``Seed in Cage 3 yesterday``, ``Water in 9 places today``: each thing of a day once."""
    where: dict[tuple[date, str], list[str]] = {}
    for one in missed:
        here = names.get(one.slot.place, one.slot.place)
        known = where.setdefault((one.slot.day, one.words), [])
        known += [here] if here not in known else []
    return tuple(
        f"{words} in {places[0] if len(places) == 1 else f'{len(places)} places'} "
        f"{near_day(day, today)}"
        for (day, words), places in where.items()
    )
