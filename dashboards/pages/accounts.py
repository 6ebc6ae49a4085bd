"""A name and a password at the broker for each sensor: made here, shown once, taken away."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.marks.qr import qr_svg
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.account_view import Given, account_view, to_type
from dashboards.views.waiting_view import Reach, reach
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.machine.broker_accounts import BrokerAccounts
from service.machine.own_addresses import own_addresses
from service.people.role import Visitor
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
NEW = "/sensors/new"


@router.get("/sensors/new")
def new_sensor(request: Request, services: Services, wall: Wall) -> Response:
    return _shown(request, services, wall, {})


@router.get("/sensors/accounts")
def all_accounts() -> Response:
    return RedirectResponse(NEW, 303)


@router.post("/sensors/new")
def make(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    accounts = _accounts(services)
    name = told.get("name", "").strip()
    topics = [one for one in told.get("topics", "").replace(",", " ").split() if one]
    try:
        password = accounts.add(name, topics or None)
    except InputError as error:
        return _shown(request, services, wall, told, (f"{error}.",))
    _note(services, who, f"Sensor {name} got a name and a password at the broker.")
    return _given(request, services, wall, accounts=accounts, name=name, password=password)


@router.post("/sensors/new/renew")
def renew(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    accounts = _accounts(services)
    name = text_of(form).get("name", "")
    password = accounts.renew(name)
    _note(services, who, f"Sensor {name} got a new password at the broker.")
    return _given(request, services, wall, accounts=accounts, name=name, password=password)


@router.post("/sensors/new/revoke")
def revoke(services: Services, who: Who, form: Form) -> Response:
    accounts = _accounts(services)
    name = text_of(form).get("name", "")
    accounts.remove(name)
    _note(services, who, f"Sensor {name} may write to the broker no more.")
    return RedirectResponse(NEW, 303)


def _accounts(services: PageServices) -> BrokerAccounts:
    if services.accounts is None:
        raise NotKnownError("The broker is not ours: it gives names and passwords itself.")
    return services.accounts


def _note(services: PageServices, who: Visitor, what: str) -> None:
    services.changes.note(Change(at=services.clock.now(), by=who.name, what=what))


def _given(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    accounts: BrokerAccounts,
    name: str,
    password: str,
) -> Response:
    own = f"clutchweather/{name}/#"
    written = accounts.topics(name)
    topic = f"clutchweather/{name}/senml" if own in written else ", ".join(written)
    text = to_type(_reach(services), name, password, topic)
    given = Given(name=name, password=password, topic=topic, text=text, code=qr_svg(text))
    answer = _shown(request, services, wall, {}, given=given)
    # What is secret is kept nowhere, the browser's own memory of pages included.
    answer.headers["cache-control"] = "no-store"
    return answer


def _reach(services: PageServices) -> Reach:
    return reach(services.settings, services.broker(), own_addresses())


def _shown(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    form: Mapping[str, str],
    wrong: tuple[str, ...] = (),
    *,
    given: Given | None = None,
) -> Response:
    accounts = services.accounts
    names = accounts.names() if accounts else ()
    view = account_view(
        ours=accounts is not None,
        settings=services.settings,
        reach=_reach(services),
        names=[(name, accounts.topics(name)) for name in names] if accounts else [],
        form_name=form.get("name"),
        form_topics=form.get("topics", ""),
        given=given,
    )
    return setup_page(
        request,
        services,
        wall,
        template="new_sensor.html",
        title="A new sensor",
        view=view,
        wrong=wrong,
    )
