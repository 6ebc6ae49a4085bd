"""The pages as one application, made from the services that it is given."""

from fastapi import FastAPI, Request
from fastapi.exception_handlers import http_exception_handler, request_validation_exception_handler
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from dashboards.access import is_page
from dashboards.doorway import Doorway
from dashboards.guards import HEADERS, Guards
from dashboards.page_services import PageServices
from dashboards.pages import (
    accounts,
    adopting,
    air,
    air_clocks,
    alarm_papers,
    alarms,
    assets,
    birds,
    cages,
    calendars,
    calibration,
    changes,
    chick_to_bird,
    describing,
    facts,
    first,
    first_keeper,
    helper_list,
    how_do_i,
    letters,
    live,
    moving,
    nest_book,
    nest_check,
    nests,
    one_sensor,
    pairs,
    people,
    running_low,
    season,
    season_closing,
    sensors,
    setup,
    setup_air,
    setup_broker,
    setup_duties,
    setup_lamps,
    setup_limit,
    setup_limits,
    setup_places,
    setup_shed,
    setup_species,
    signing,
    start,
    today,
    visit_times,
    wall,
    wall_tokens,
    workload,
)
from dashboards.pages.live import Streams
from dashboards.sensor_facts import SensorFacts, counted_of, terms_of
from dashboards.signing_in import SignIn
from dashboards.templating import STATIC, load_templates, page
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError, StoreUnavailableError

_ROUTERS = (
    start.router,
    today.router,
    visit_times.router,
    workload.router,
    helper_list.router,
    first.router,
    first_keeper.router,
    signing.router,
    people.router,
    wall_tokens.router,
    changes.router,
    wall.router,
    live.router,
    nest_check.router,
    moving.router,
    nest_book.router,
    chick_to_bird.router,
    nests.router,
    season.router,
    air.router,
    air_clocks.router,
    season_closing.router,
    calendars.router,
    alarm_papers.router,
    alarms.router,
    sensors.router,
    adopting.router,
    describing.router,
    one_sensor.router,
    calibration.router,
    letters.router,
    accounts.router,
    setup.router,
    setup_shed.router,
    setup_lamps.router,
    setup_air.router,
    setup_limits.router,
    setup_limit.router,
    setup_places.router,
    birds.router,
    pairs.router,
    cages.router,
    setup_broker.router,
    setup_species.router,
    setup_duties.router,
    running_low.router,
    how_do_i.router,
    facts.router,
    assets.router,
)


_NO_PAGE = {
    404: "There is no such page.",
    405: "This can't be opened as a page; it is sent from one.",
}


def create_app(services: PageServices) -> FastAPI:
    """All pages, the event stream and the JSON. Nothing is opened here and nothing closed."""
    load_templates()
    app = FastAPI(title="Clutchweather", docs_url=None, redoc_url=None)
    app.state.services = services
    app.state.wall_watch = WallWatch(services)
    app.state.streams = Streams()
    app.state.sign_in = SignIn()
    app.state.sensor_facts = SensorFacts(counted_of(services), terms_of(services))
    for router in _ROUTERS:
        app.include_router(router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_exception_handler(NotKnownError, _not_known)
    app.add_exception_handler(StoreUnavailableError, _unavailable)
    app.add_exception_handler(InputError, _wrong)
    app.add_exception_handler(HTTPException, _no_page)
    app.add_exception_handler(RequestValidationError, _no_such_address)
    app.add_exception_handler(Exception, _failed)
    app.add_middleware(Doorway, services=services, sign_in=app.state.sign_in)
    app.add_middleware(Guards, names=lambda: (*services.hosts, *services.settings.page_names))
    return app


def _not_known(request: Request, error: Exception) -> Response:
    return page(request, "error.html", status=404, title="Not known", words=str(error))


def _wrong(request: Request, error: Exception) -> Response:
    return page(request, "error.html", status=422, title="Not understood", words=str(error))


def _unavailable(request: Request, error: Exception) -> Response:
    words = f"The records can't be read just now: {error}. Try again in a moment."
    return page(request, "error.html", status=503, title="Not now", words=words)


async def _no_page(request: Request, error: Exception) -> Response:
    """What scripts ask for keeps its JSON; a person gets a sentence."""
    assert isinstance(error, HTTPException)  # noqa: S101 - registered for it alone
    words = _NO_PAGE.get(error.status_code)
    if words is None or not _is_for_a_person(request):
        return await http_exception_handler(request, error)
    answer = page(request, "error.html", status=error.status_code, title="Not known", words=words)
    answer.headers.update(error.headers or {})
    return answer


async def _no_such_address(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)  # noqa: S101 - as above
    if not _is_for_a_person(request):
        return await request_validation_exception_handler(request, error)
    words = "There is no such page: its address is not one of ours."
    return page(request, "error.html", status=422, title="Not understood", words=words)


def _is_for_a_person(request: Request) -> bool:
    return is_page(request.scope["path"]) and "text/html" in request.headers.get("accept", "")


def _failed(request: Request, _error: Exception) -> Response:
    """For a fault of ours; the server logs what it was."""
    words = "This page failed. The watch over the shed is another program and goes on."
    answer = page(request, "error.html", status=500, title="A fault of the page", words=words)
    answer.headers.update(HEADERS)  # this answer is made outside the guards
    return answer
