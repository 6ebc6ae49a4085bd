"""Opening and closing a season, and what is to be done in between."""

import re
from dataclasses import replace
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.bird_form import LIVED_IN
from dashboards.views.clean_down_view import clean_down_view
from dashboards.views.local_words import local_day
from dashboards.views.names import name_faults
from dashboards.views.season_view import day_of, season_name
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.nests.clean_down import clean_down_of
from service.nests.closing import in_the_way, to_think_of
from service.nests.resting import has_life
from service.nests.season import Season
from service.people.role import Visitor
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
CLEAN_DOWN = "/season/clean-down"
_NUMBER = re.compile("[0-9]{1,18}", re.ASCII)


@router.get("/season/open")
def opening(request: Request, services: Services, wall: Wall) -> Response:
    return _opening(request, services, wall)


@router.post("/season/open")
def open_season(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    name, day = str(form.get("name", "")).strip(), str(form.get("day", ""))
    wrong = name_faults(name, "The season")
    try:
        if not wrong:
            season = services.seasons.open(name, _day(day, services))
            _note(services, who, f"{season_name(season)} was opened from {season.began_on} on")
            return RedirectResponse("/season", 303)
    except InputError as error:
        wrong = (str(error),)
    return _opening(request, services, wall, name=name, day=day, wrong=wrong)


@router.post("/season/take-back")
def take_back(services: Services, who: Who, form: Form) -> Response:
    season = _season(services, form)
    services.seasons.take_back(season.id)
    _note(services, who, f"{season_name(season)}, opened by mistake, was taken back")
    return RedirectResponse("/season", 303)


@router.get("/season/close")
def closing(request: Request, services: Services, wall: Wall) -> Response:
    return _closing(request, services, wall)


@router.post("/season/close")
def close(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    season = _season(services, form)
    nests = services.nest_book.nests()
    if in_the_way(nests):
        return _closing(request, services, wall, wrong="First see to the boxes below.")
    if form.get("sure") != "yes":
        return _closing(request, services, wall, wrong="Say below that you have looked.")
    services.seasons.close(
        season.id,
        on=_today(services),
        by=who.name,
        tasks=list(clean_down_of(services.nest_book.places())),
    )
    _note(services, who, f"{season_name(season)} was closed: the birds rest")
    services.renew()
    return RedirectResponse(CLEAN_DOWN, 303)


@router.post("/season/reopen")
def reopen(services: Services, who: Who, form: Form) -> Response:
    season = _season(services, form)
    services.seasons.reopen(season.id)
    _note(services, who, f"{season_name(season)} goes on; its closing was taken back")
    services.renew()
    return RedirectResponse("/season", 303)


@router.get(CLEAN_DOWN)
def clean_down(request: Request, services: Services, wall: Wall) -> Response:
    return _clean_down(request, services, wall)


@router.post(CLEAN_DOWN)
def tick(services: Services, who: Who, form: Form) -> Response:
    """Only what differs from what the form showed: somebody else may tick at the same time."""
    shown = _ids(form, "shown")
    ticked, done_then = _ids(form, "task"), _ids(form, "was_done")
    now = services.clock.now()
    services.seasons.set_done(sorted(ticked - done_then), done=True, by=who.name, at=now)
    services.seasons.set_done(sorted((done_then - ticked) & shown), done=False, by=who.name, at=now)
    return RedirectResponse(f"{CLEAN_DOWN}#{form.get('place', '')}", 303)


@router.post("/season/boxes")
def boxes(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    off = form.get("off") == "yes"
    chosen = [str(box) for box in form.getlist("box")]
    if off:
        alive = [
            nest.box.name
            for nest in services.nest_book.nests()
            if nest.box.id in chosen and has_life(nest)
        ]
        if alive:
            told = ", ".join(alive)
            wrong = (
                f"{told}: by the book somebody lives in there. Look in first, and write it down."
            )
            return _clean_down(request, services, wall, wrong=wrong)
    services.seasons.set_off(chosen, off=off, by=who.name, at=services.clock.now())
    return RedirectResponse(f"{CLEAN_DOWN}#boxes", 303)


@router.post("/season/rest")
def rest(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    """Part a pair, and say where its birds rest. Each can be undone on the birds' own pages."""
    pair = next(
        (one for one in services.nest_book.pairs() if str(one.id) == form.get("pair")), None
    )
    if pair is None:
        raise NotKnownError("There is no such pair.")
    busy = [
        nest.box.name
        for nest in services.nest_book.nests()
        if nest.box.within == pair.cage and has_life(nest)
    ]
    if busy:
        wrong = f"{', '.join(busy)}: by the book eggs or chicks need the two. Look in first."
        return _clean_down(request, services, wall, wrong=wrong)
    today, at = _today(services), services.clock.now()
    place = str(form.get("place", "")) or None
    lived_in = {one.id for one in services.nest_book.places() if one.kind in LIVED_IN}
    if place is not None and place not in lived_in:
        raise NotKnownError(f"There is no place {place[:40]!r} for birds to live in.")
    try:
        services.birds.end_pair(pair.id, on=today, by=who.name, at=at, why="put to rest")
        for bird in (pair.cock, pair.hen):
            if place is not None and bird.place != place:
                services.birds.change(
                    replace(bird, place=place), at=at, today=today, by=who.name, why="put to rest"
                )
    except InputError as error:
        return _clean_down(request, services, wall, wrong=str(error))
    return RedirectResponse(f"{CLEAN_DOWN}#birds", 303)


def _opening(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    name: str | None = None,
    day: str | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    snapshot = wall.current()
    today = _today(services)
    return page(
        request,
        "season_open.html",
        status=422 if wrong else 200,
        frame=frame("Open a season", snapshot, services),
        name=_next_name(services, today.year) if name is None else name,
        day=day or today.isoformat(),
        today=today.isoformat(),
        wrong=wrong,
        version=snapshot.version,
    )


def _next_name(services: PageServices, year: int) -> str:
    """The year's, or the next one's where this year had its season already."""
    taken = {season.name for season in services.seasons.seasons()}
    return str(year + 1) if str(year) in taken else str(year)


def _closing(
    request: Request, services: PageServices, wall: WallWatch, *, wrong: str | None = None
) -> Response:
    snapshot = wall.current()
    seasons = services.seasons.seasons()
    going_on = seasons[-1] if seasons and seasons[-1].closed_on is None else None
    nests = services.nest_book.nests()
    return page(
        request,
        "season_close.html",
        status=422 if wrong else 200,
        frame=frame("Close the season", snapshot, services),
        season=going_on,
        title=season_name(going_on) if going_on else "",
        began=day_of(going_on.began_on) if going_on else "",
        in_the_way=in_the_way(nests),
        to_think_of=to_think_of(nests, services.nest_book.pairs()),
        wrong=wrong,
        version=snapshot.version,
    )


def _clean_down(
    request: Request, services: PageServices, wall: WallWatch, *, wrong: str | None = None
) -> Response:
    snapshot = wall.current()
    seasons = services.seasons.seasons()
    closed = [season for season in seasons if season.closed_on is not None]
    last = closed[-1] if closed else None
    view = clean_down_view(
        services.seasons.clean_down(last.id) if last else (),
        services.seasons.boxes_off(),
        services.nest_book.pairs(),
        services.nest_book.places(),
        busy={nest.box.within for nest in services.nest_book.nests() if has_life(nest)},
        now=snapshot.now,
        zone=services.settings.site.timezone,
    )
    return page(
        request,
        "season_clean_down.html",
        status=422 if wrong else 200,
        frame=frame("After the season", snapshot, services),
        view=view,
        season=season_name(last) if last else None,
        resting=last is not None and last is seasons[-1],
        wrong=wrong,
        version=snapshot.version,
    )


def _season(services: PageServices, form: FormData) -> Season:
    """The season of the form, so that a form that was open for long means what it showed."""
    for season in services.seasons.seasons():
        if str(season.id) == form.get("season"):
            return season
    raise NotKnownError("There is no such season.")


def _day(told: str, services: PageServices) -> date:
    try:
        day = date.fromisoformat(told)
    except ValueError as error:
        raise InputError(f"{told[:40]!r} is no day; write it as 2026-02-01.") from error
    if day > _today(services):
        raise InputError(f"{day} is still to come; a season is opened on the day or afterwards.")
    return day


def _today(services: PageServices) -> date:
    return local_day(services.clock.now(), services.settings.site.timezone)


def _ids(form: FormData, name: str) -> set[int]:
    """Numbers of rows; what can be none is passed over, as a browser sends nothing of the kind."""
    return {int(told) for told in map(str, form.getlist(name)) if _NUMBER.fullmatch(told)}


def _note(services: PageServices, who: Visitor, what: str) -> None:
    services.changes.note(Change(at=services.clock.now(), by=who.name, what=what))
