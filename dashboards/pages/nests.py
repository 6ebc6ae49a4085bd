"""The nests in walking order, and each nest beside the air that it lived through."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.figures.air_figure import AirSeries, air_figure
from dashboards.framing import frame
from dashboards.guards import CHART_POLICY
from dashboards.marks.nest_days import nest_days
from dashboards.marks.nest_holding import holding_mark
from dashboards.marks.nest_lines import nest_picture
from dashboards.marks.palette import DAY, NIGHT
from dashboards.page_services import PageServices
from dashboards.shed_air import AirSource, ShedAir
from dashboards.templating import drawn, page
from dashboards.views.egg_water_view import egg_water_view
from dashboards.views.local_words import local_day
from dashboards.views.look_saved import look_saved
from dashboards.views.nest_card import nest_card
from dashboards.views.nest_view import Around, nest_list, nest_since, nest_view, shown_since
from dashboards.views.rail_view import box_label
from service.answers.egg_losses import egg_losses
from service.errors import InputError, NotKnownError
from service.nests.advice import advice
from service.nests.book_says import BookSays
from service.nests.moved_dues import moved_dues
from service.nests.nest import Nest

router = APIRouter()

SITTING_FROM = "sitting from"
"""The fact of a correction that says when the keeper told it."""

_PICTURE_STEP = timedelta(hours=1)
_CHART_POINTS = 2000
_CHART_STEPS = tuple(timedelta(minutes=m) for m in (5, 10, 15, 30, 60, 120, 240))


@router.get("/nests")
def nests(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    book = services.nest_book
    kept = book.nests()
    labels = {nest.box.id: box_label(nest.box) for nest in kept}
    zone = services.settings.site.timezone
    return page(
        request,
        "nests.html",
        frame=frame("Nests", snapshot, services),
        rows=nest_list(kept, book.species(), labels, snapshot.now, zone),
        version=snapshot.version,
    )


@router.get("/nests/{box}")
def nest(
    box: str,
    request: Request,
    services: Services,
    wall: Wall,
    *,
    saved: str | None = None,
    differs: str | None = None,
) -> Response:
    snapshot = wall.current()
    book = services.nest_book
    found = book.nest(box)
    zone = services.settings.site.timezone
    since = shown_since(found, snapshot.now, zone)
    air = _air(services, snapshot.now)
    source = _source(air, found, services)
    channel = air.channel(source, since, width=_PICTURE_STEP) if source and since else None
    around = around_nest(found, services, snapshot.now)
    view = nest_view(found, book.species(), channel, snapshot.now, zone, around=around)
    palette = NIGHT if snapshot.view.night else DAY
    names = around.names
    response = page(
        request,
        "nest.html",
        frame=frame(view.title, snapshot, services),
        view=view,
        picture=drawn(nest_picture(view.picture, palette)) if view.picture else None,
        holds=[(one, drawn(holding_mark(one))) for one in view.holds],
        days=drawn(nest_days(view.picture, palette)) if view.picture else None,
        water=egg_water_view(
            egg_losses(services.readings, book, services.settings, found, snapshot.now), zone
        ),
        whose=names.get(source.place, source.place) if source else None,
        device=source.device if source else None,
        limited=source is not None
        and any(limit.place == source.place for limit in services.settings.limits),
        look_saved=look_saved(book, saved, differs=differs == "yes"),
        advice=advice(found, zone=zone, book=BookSays(names=dict(names))),
        version=snapshot.version,
    )
    response.headers["content-security-policy"] = CHART_POLICY
    return response


@router.get("/nests/{box}/card")
def card(box: str, request: Request, services: Services, wall: Wall) -> Response:
    """What hangs on the cage, for the printer."""
    snapshot = wall.current()
    found = services.nest_book.nest(box)
    zone = services.settings.site.timezone
    since = shown_since(found, snapshot.now, zone)
    air = _air(services, snapshot.now)
    source = _source(air, found, services)
    channel = air.channel(source, since, width=_PICTURE_STEP) if source and since else None
    around = replace(around_nest(found, services, snapshot.now), on_paper=True)
    species = services.nest_book.species()
    view = nest_view(found, species, channel, snapshot.now, zone, around=around)
    return page(
        request,
        "nest_card.html",
        frame=frame(f"{view.title}: card", snapshot, services),
        view=view,
        holds=[(one, drawn(holding_mark(one))) for one in view.holds],
        card=nest_card(found, view, channel, snapshot.now, zone),
        version=snapshot.version,
    )


@router.get("/api/nests/{box}/air")
def air_chart(box: str, services: Services, wall: Wall) -> Response:
    """The figure of the nest's air; empty series where none was measured."""
    snapshot = wall.current()
    found = services.nest_book.nest(box)
    zone = services.settings.site.timezone
    since = shown_since(found, snapshot.now, zone) or snapshot.now - timedelta(days=3)
    air = _air(services, snapshot.now)
    source = _source(air, found, services)
    if source is None:
        raise NotKnownError(f"No sensor tells the air of {found.box.name}.")
    width = _step(snapshot.now - since)
    names = {place.id: place.name for place in services.settings.places}
    figure = air_figure(
        AirSeries(
            temperature=air.buckets(source.temperature, source, since, width),
            humidity=air.buckets(source.humidity, source, since, width),
            width=width,
            max_gap=source.max_gap,
        ),
        air.light(since, width=width),
        [limit for limit in services.settings.limits if limit.place == source.place],
        place_name=names.get(source.place, source.place),
        zone=zone,
        palette=NIGHT if snapshot.view.night else DAY,
    )
    return JSONResponse(figure)


@router.post("/nests/{box}/sitting")
def set_sitting(
    box: str, services: Services, who: Who, form: Annotated[FormData, Depends(read_form)]
) -> Response:
    found = services.nest_book.nest(box)
    if found.clutch is None or not found.clutch.eggs:
        raise InputError(f"{found.box.name}: no egg was laid, so nobody sits yet.")
    at = None
    if not form.get("forget"):
        at = _noon_of(str(form.get("day", "")), found, services)
    now = services.clock.now()
    services.nest_book.set_sitting_from(found.clutch.id, at, by=who.name, now=now)
    return RedirectResponse(f"/nests/{found.box.id}#due", 303)


def _noon_of(told: str, found: Nest, services: PageServices) -> datetime:
    """Noon of the day on which the hen began to sit, within what can be."""
    zone = services.settings.site.timezone
    try:
        day = date.fromisoformat(told)
    except ValueError as error:
        raise InputError(f"{told!r} is no day; write it as 2026-04-21.") from error
    first = nest_since(found, zone)
    now = services.clock.now()
    if first is not None and not local_day(first, zone) <= day <= local_day(now, zone):
        raise InputError("She can't have begun before the first egg, nor after today.")
    return min(now, datetime.combine(day, time(12), zone).astimezone(UTC))


def around_nest(nest: Nest, services: PageServices, now: datetime) -> Around:
    """Names, the pair's clutches so far, and what moved each date last."""
    book = services.nest_book
    told = None
    if nest.clutch is not None and nest.clutch.sitting_from is not None:
        said = [one for one in book.corrections(nest.clutch.id) if one.fact == SITTING_FROM]
        told = said[-1].at if said else None
    pair = nest.pair
    return Around(
        names={place.id: place.name for place in services.settings.places},
        clutches=tuple(book.clutches_of_birds(pair.cock.id, pair.hen.id)) if pair else (),
        moves=moved_dues(
            nest, book.species(), now, services.settings.site.timezone, sat_told_at=told
        ),
    )


def _air(services: PageServices, now: datetime) -> ShedAir:
    return ShedAir(services.readings, services.settings, tuple(services.readings.latest()), now)


def _source(air: ShedAir, nest: Nest, services: PageServices) -> AirSource | None:
    """The box's own sensor, else that of what stands around it: cage, then shed."""
    within = {place.id: place.within for place in services.settings.places}
    place: str | None = nest.box.id
    while place is not None:
        for source in air.sources:
            if source.place == place:
                return source
        place = within.get(place)
    return None


def _step(length: timedelta) -> timedelta:
    """The finest step that keeps a line within what a browser draws quickly."""
    return next((s for s in _CHART_STEPS if length / s <= _CHART_POINTS), _CHART_STEPS[-1])
