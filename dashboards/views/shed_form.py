"""The shed's name, its zone and where it stands: what was typed, what it means, the sun there.

Where no degrees are typed, the sun is reckoned for the principal place of the zone. Pure but
for the tables of zones.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import clock_time, local_day
from dashboards.views.names import name_faults
from dashboards.views.written_degrees import degrees_in_words, degrees_to_edit, read_place
from service.climate.daylight import SunPath, daylight
from service.climate.light_plan import Site
from service.errors import InputError
from service.machine.zone_tab import UTC_NAME, place_of_zone, zone_names
from service.settings.settings import Settings
from service.settings.written import time_zone

NAME = ("shed", "name")
ZONE = ("shed", "timezone")
WHERE = ("shed", "latitude")

_CLOSE_DEG = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedForm:
    """As it was typed, or as it is to be shown for typing."""

    name: str
    zone: str
    north: str
    east: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedAnswer:
    """What it means. ``site`` has no degrees where neither form nor zone tells any."""

    name: str
    site: Site


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedFormView:
    """``sun`` tells today's sunrise and sunset there, None where that can't be known.

    ``city`` is the principal place that the degrees are reckoned for, None where they are the
    keeper's own. ``shown`` goes with the form: what the sun was shown for. ``fixed`` are the
    paths that the file states.
    """

    form: ShedForm
    sun: str | None
    where: str | None
    city: str | None
    shown: str
    zones: tuple[str, ...]
    fixed: frozenset[tuple[str, ...]]


def shed_form(settings: Settings) -> ShedForm:
    """The form as it is first shown.

    A machine on UTC was most likely never told its zone: then the keeper has to choose.
    """
    site = settings.site
    north = east = ""
    if site.latitude is not None and site.longitude is not None and city_of(site) is None:
        north = degrees_to_edit(site.latitude, "latitude")
        east = degrees_to_edit(site.longitude, "longitude")
    untold = _is_utc(site.timezone) and site.latitude is None and ZONE not in settings.fixed
    zone = "" if untold else str(site.timezone)
    return ShedForm(name=settings.shed_name, zone=zone, north=north, east=east)


def typed_shed(told: Mapping[str, str], settings: Settings) -> ShedForm:
    """The form as it was sent; what the file states can't be typed."""
    held = shed_form(settings)
    where_fixed = WHERE in settings.fixed
    return ShedForm(
        name=held.name if NAME in settings.fixed else told.get("name", "").strip(),
        zone=held.zone if ZONE in settings.fixed else told.get("zone", "").strip(),
        north=held.north if where_fixed else told.get("north", "").strip(),
        east=held.east if where_fixed else told.get("east", "").strip(),
    )


def read_shed(form: ShedForm) -> ShedAnswer | tuple[str, ...]:
    """What the form means, or every fault in words."""
    faults = list(name_faults(form.name, "The shed's name"))
    zone, latitude, longitude = None, None, None
    try:
        zone = time_zone(form.zone)
    except ValueError:
        shown = form.zone[:40] or "nothing"
        faults.append(
            f"Time zone: {shown} is no zone; allowed: one of the list, such as Europe/Amsterdam."
        )
    if form.north or form.east:
        try:
            latitude, longitude = read_place(form.north, form.east)
        except InputError as error:
            faults.append(str(error))
    if faults or zone is None:
        return tuple(faults)
    if latitude is None and (place := place_of_zone(form.zone)):
        latitude, longitude = place.latitude, place.longitude
    site = Site(timezone=zone, latitude=latitude, longitude=longitude)
    return ShedAnswer(name=form.name, site=site)


def shed_form_view(
    form: ShedForm, answer: ShedAnswer | None, settings: Settings, now: datetime
) -> ShedFormView:
    """The form with the sun of what it means; ``answer`` is None where it means nothing."""
    site = answer.site if answer else None
    return ShedFormView(
        form=form,
        sun=sun_in_words(site, now) if site else None,
        where=where_in_words(site) if site else None,
        city=city_of(site) if site else None,
        shown=shown_key(answer) if answer else "",
        zones=zone_names(),
        fixed=settings.fixed,
    )


def shown_key(answer: ShedAnswer) -> str:
    """Changes with whatever changes the sun."""
    site = answer.site
    return f"{site.timezone} {site.latitude} {site.longitude}"


def where_in_words(site: Site) -> str | None:
    """``52.37° N, 4.90° E``; None where no degrees are told."""
    if site.latitude is None or site.longitude is None:
        return None
    north = degrees_in_words(site.latitude, "latitude")
    return f"{north}, {degrees_in_words(site.longitude, 'longitude')}"


def city_of(site: Site) -> str | None:
    """The principal place of the zone where the degrees are just its own."""
    place = place_of_zone(str(site.timezone))
    if place is None or site.latitude is None or site.longitude is None:
        return None
    same = (
        abs(site.latitude - place.latitude) < _CLOSE_DEG
        and abs(site.longitude - place.longitude) < _CLOSE_DEG
    )
    return place.city if same else None


def sun_in_words(site: Site, now: datetime) -> str | None:
    """Today's sunrise and sunset by the clock of the zone; None without degrees."""
    found = daylight(site, local_day(now, site.timezone))
    if found is None:
        return None
    if found.sun is SunPath.ALWAYS_ABOVE:
        return "The sun does not set today."
    if found.sun is SunPath.ALWAYS_BELOW:
        return "The sun does not rise today."
    pair = (("sunrise", found.sunrise), ("sunset", found.sunset))
    told = [f"{word} {clock_time(at, site.timezone)}" for word, at in pair if at is not None]
    return ", ".join(told).capitalize()


def _is_utc(zone: ZoneInfo) -> bool:
    return str(zone) in {UTC_NAME, "Etc/UTC"}
