"""The air of the shed: its nights, its light, and what comes tonight."""

from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.air_facts import NIGHTS, AirFacts, Stretch
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.guards import CHART_POLICY
from dashboards.marks.palette import DAY, NIGHT
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.air_last_night import WATER_UNKNOWN, last_night
from dashboards.views.air_light import light_words
from dashboards.views.air_look import look_asked, read_look
from dashboards.views.air_nights import night_rows
from dashboards.views.air_stretch import days_words, week_words
from dashboards.views.air_view import (
    days_drawn,
    lately_drawn,
    light_drawn,
    nights_drawn,
    week_drawn,
)
from dashboards.views.banks import AirLimits
from dashboards.views.lamp_clock_words import lamp_clock_words
from dashboards.views.local_words import clock_time, day_word
from service.climate.night_summary import NightSummary
from service.errors import NotKnownError

router = APIRouter()

_TITLE = "The air"


@router.get("/air")
def air(
    request: Request, services: Services, wall: Wall, *, stretch: Stretch = Stretch.WEEK
) -> Response:
    snapshot = wall.current()
    now, zone = services.clock.now(), services.settings.site.timezone
    facts = AirFacts(services, now)
    limits = facts.limits(dark=True)
    lately, nights, light = facts.lately(), facts.nights(), facts.light()
    told = last_night(nights[-1] if nights else None, limits, zone)
    outdoors = facts.outdoors(lately.since) if lately else None
    response = page(
        request,
        "air.html",
        frame=frame(_TITLE, snapshot, services),
        now=facts.now_in_words(lately),
        night=told,
        water_unknown=WATER_UNKNOWN,
        before=_night_before(nights, limits, zone),
        look=look_asked(nights, services.outlook.looks(), now, services.settings),
        tonight=facts.tonight(),
        lately=lately_drawn(lately, outdoors, zone, told[0]),
        ahead=lately is not None and lately.ahead is not None,
        nights=nights_drawn(nights, limits, NIGHTS),
        rows=night_rows(nights, limits, zone),
        cold=limits.cold_c is not None,
        damp=limits.damp_pct,
        light=light_drawn(light, zone),
        light_words=(*light_words(light, zone), *lamp_clock_words(facts.lamp_clock(light)))
        if facts.has_light_sensor
        else (),
        **_stretch(facts, stretch, services),
        outdoors=facts.outdoors_source is not None,
        missing=facts.unheard(),
        printed=f"as of {day_word(facts.today)} {facts.today.year}, {clock_time(now, zone)}",
        version=snapshot.version,
    )
    response.headers["content-security-policy"] = CHART_POLICY
    return response


def _night_before(nights: list[NightSummary], limits: AirLimits, zone: ZoneInfo) -> tuple[str, ...]:
    """The last whole night, told as well while another goes on."""
    if len(nights) < 2 or nights[-1].night.until is not None:
        return ()
    return last_night(nights[-2], limits, zone)


def _stretch(facts: AirFacts, stretch: Stretch, services: PageServices) -> dict[str, Any]:
    """The last section: its picture and words, and what it is called."""
    zone = services.settings.site.timezone
    if stretch is Stretch.WEEK:
        week = facts.week()
        words = week_words(week)
        outdoors = facts.outdoors(week.since) if week else None
        picture = week_drawn(week, outdoors, zone, words[0])
        return {"stretch": stretch, "named": "These seven days", "picture": picture, "words": words}
    found = facts.days(stretch)
    limits = facts.limits(dark=None)
    named = found.season or "The last 365 days"
    if not found.season and stretch is Stretch.SEASON:
        named = "No season is in the book: the last 365 days"
    return {
        "stretch": stretch,
        "named": named,
        "picture": days_drawn(found.days, found.first, found.last, limits),
        "words": days_words(found.days, found.first, found.last, limits),
    }


@router.post("/air/looked")
def looked(services: Services, who: Who, form: Annotated[FormData, Depends(read_form)]) -> Response:
    """The keeper's word on the coldest surface, wet or dry, on the morning after a night."""
    now = services.clock.now()
    evening, wet = read_look(form.get("evening"), form.get("wet"), now, services.settings)
    services.outlook.tell_look(evening, wet=wet, by=who.name, at=now)
    return RedirectResponse("/air#looked", 303)


@router.get("/api/air/chart")
def air_chart(services: Services, wall: Wall, *, stretch: Stretch = Stretch.WEEK) -> Response:
    """The figure of the same stretch, to look closer; without a thermometer it is not known."""
    facts = AirFacts(services, services.clock.now())
    night = wall.current().view.night
    figure = facts.figure(stretch, NIGHT if night else DAY)
    if figure is None:
        raise NotKnownError("No thermometer tells of the shed.")
    return JSONResponse(figure)
