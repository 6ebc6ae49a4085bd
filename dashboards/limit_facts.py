"""What the pages of limits must know from the stores."""

from collections.abc import Mapping
from datetime import timedelta

from dashboards.marks.limit_month import Led
from dashboards.page_services import PageServices
from dashboards.views.limit_form import Subject
from dashboards.views.limit_view import MonthLed, month_led
from dashboards.views.limits_view import measured_at
from dashboards.views.local_words import moment
from devices.reading import Quantity
from service.alarms.shelf_wish import ShelfWish
from service.alarms.suppression import SuppressionKind
from service.answers.limit_what_if import LimitPast
from service.errors import InputError, NotKnownError
from service.rules.limit import Limit
from service.store.alarm_store import RequestKind

_SPANS = {"1": timedelta(days=1), "7": timedelta(days=7), "30": timedelta(days=30), "": None}
"""How long a rule may be out of service, by what the form sends; None: until it is put back."""


def every_limit(services: PageServices) -> dict[str, Limit]:
    """All that are set by id, those that are switched off too."""
    settings = services.settings
    return {limit.id: limit for limit in (*settings.limits, *settings.limits_off)}


def limit_named(services: PageServices, limit_id: str) -> Limit:
    """The limit of that id.

    Raises:
        NotKnownError: there is none.
    """
    found = every_limit(services).get(limit_id)
    if found is None:
        raise NotKnownError("There is no such limit.")
    return found


def subject_asked(told: Mapping[str, str], services: PageServices) -> Subject | None:
    """What a new limit is to be on; None where that was not said whole."""
    places = {place.id for place in services.settings.places}
    place, quantity, side = (told.get(key, "") for key in ("place", "quantity", "side"))
    if place not in places or quantity not in set(Quantity) or side not in ("low", "high"):
        return None
    return Subject(place=place, quantity=Quantity(quantity), is_low=side == "low")


def out_of_service(services: PageServices) -> dict[str, str]:
    """The rules that are out of service, each with since when and why.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    now, zone = services.clock.now(), services.settings.site.timezone
    found = {}
    for one in services.alarms.suppressions():
        if one.kind is SuppressionKind.OUT_OF_SERVICE:
            until = f", until {moment(one.until, now, zone)}" if one.until else ""
            since = moment(one.since, now, zone)
            found[one.rule] = f"Out of service since {since}{until}: {one.why}"
    return found


def ask_out_of_service(
    services: PageServices, rule: str, told: Mapping[str, str], by: str | None
) -> tuple[str, ...]:
    """Ask watch to take a rule out of service, or with ``go`` = back to put it back; the faults
    in words.

    Raises:
        StoreUnavailableError: the records are busy.
    """
    now = services.clock.now()
    if told.get("go") == "back":
        services.requests.ask(RequestKind.INTO_SERVICE, rule, by=by, at=now)
        return ()
    days = told.get("days")  # a form that says nothing of it must not mean for ever
    if days not in _SPANS:
        return ("Until when: choose one of those shown.",)
    span = _SPANS[days]
    wish = ShelfWish(
        reason=told.get("reason", ""), for_s=None if span is None else span.total_seconds()
    )
    try:
        body = wish.model_copy(update={"reason": wish.tidy_reason}).to_text()
    except InputError as error:
        return (str(error),)
    services.requests.ask(RequestKind.OUT_OF_SERVICE, rule, by=by, at=now, body=body)
    return ()


def is_measured(services: PageServices, subject: Subject) -> bool:
    """Whether a sensor that stands there has told of it.

    Raises:
        StoreUnavailableError: the readings can't be read now.
    """
    there = measured_at(services.settings, services.readings.series())
    return (subject.place, subject.quantity) in there


def month_in_terms(
    services: PageServices, subject: Subject, terms: Mapping[str, Limit | None]
) -> MonthLed:
    """Each of these terms over the last month, by its title; what is the same is told once.

    Raises:
        StoreUnavailableError: the readings can't be read now.
    """
    settings, now = services.settings, services.clock.now()
    past = LimitPast(services.readings, settings, subject.place, subject.quantity, now)
    found: dict[Limit, Led] = {}
    for title, limit in terms.items():
        if limit is not None and limit not in found:
            found[limit] = Led(name=title, limit=limit, would=past.would_have_said(limit))
    return month_led(tuple(found.values()), past.days(), settings.site.timezone)
