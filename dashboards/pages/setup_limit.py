"""Set-up of one limit: its terms, what it would have said, off, out of service; a new one."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change, would_be_wrong
from dashboards.as_shown import MEANWHILE, is_stale, mark_of
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.limit_facts import (
    ask_out_of_service,
    every_limit,
    is_measured,
    limit_named,
    month_in_terms,
    out_of_service,
    subject_asked,
)
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.limit_form import (
    LimitForm,
    Subject,
    form_key,
    new_id,
    new_limit_form,
    read_limit,
    subject_of,
    typed_limit,
)
from dashboards.views.limit_view import LimitView, limit_view, terms_of
from dashboards.views.limits_view import built_in_limits_of
from dashboards.views.quantity_words import quantity_words
from dashboards.wall_watch import WallWatch
from devices.reading import Quantity
from service.rules.limit import Limit
from service.settings import edits

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_LIST = "/setup/limits"
_AS_TYPED, _AS_IT_IS, _AS_BUILT_IN = "As you typed it", "As it is now", "As built in"


@router.get("/setup/new-limit")
def new_limit(request: Request, services: Services, wall: Wall) -> Response:
    subject = subject_asked(dict(request.query_params), services)
    if subject is None:
        return _ask_what(request, services, wall)
    return _new(request, services, wall, subject, new_limit_form(subject))


@router.post("/setup/new-limit")
def make_limit(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    subject = subject_asked(told, services)
    if subject is None:
        return _ask_what(request, services, wall, wrong=("Say where, what, and which side.",))
    typed = typed_limit(told)
    taken = [*built_in_limits_of(services.settings), *every_limit(services)]
    read = read_limit(typed, subject, new_id(subject, taken))
    if isinstance(read, tuple):
        return _new(request, services, wall, subject, typed, wrong=read)
    wrong = would_be_wrong(services, edits.limit(read))
    if not wrong and told.get("shown") == form_key(typed):
        wrong = change(services, who, lambda: edits.limit(read))
        if not wrong:
            return RedirectResponse(_LIST, 303)
    return _new(request, services, wall, subject, typed, read=read, wrong=wrong)


@router.get("/setup/limits/{limit_id}")
def one_limit(request: Request, services: Services, wall: Wall, limit_id: str) -> Response:
    return _one(request, services, wall, limit_named(services, limit_id))


@router.post("/setup/limits/{limit_id}")
def put_limit(
    request: Request, services: Services, wall: Wall, who: Who, form: Form, *, limit_id: str
) -> Response:
    """What it would have said is shown before it is kept."""
    limit, told = limit_named(services, limit_id), text_of(form)
    typed = typed_limit(told)
    read = read_limit(typed, subject_of(limit), limit_id)
    if isinstance(read, tuple):
        return _one(request, services, wall, limit, typed=typed, wrong=read)
    wrong: tuple[str, ...] = (MEANWHILE,) if is_stale(told, limit) else ()
    wrong = wrong or would_be_wrong(services, edits.limit(read))
    if not wrong and told.get("shown") == form_key(typed):
        wrong = change(services, who, lambda: edits.limit(read))
        if not wrong:
            return RedirectResponse(_LIST, 303)
    return _one(request, services, wall, limit, typed=typed, read=read, wrong=wrong)


@router.post("/setup/limits/{limit_id}/switch")
def switch_limit(
    request: Request, services: Services, wall: Wall, who: Who, form: Form, *, limit_id: str
) -> Response:
    """Off, on again, or what was set of it forgotten."""
    limit, go = limit_named(services, limit_id), text_of(form).get("go")
    if go == "forget":
        wrong = change(services, who, lambda: edits.forget_limit(limit_id))
    elif go in ("on", "off"):
        wrong = change(services, who, lambda: edits.limit(limit, on=go == "on"))
    else:
        wrong = ("Say whether it is to be switched on or off.",)
    if wrong:
        return _one(request, services, wall, limit, wrong=wrong)
    return RedirectResponse(_LIST, 303)


@router.post("/setup/limits/{limit_id}/service")
def service_limit(
    request: Request, services: Services, wall: Wall, who: Who, form: Form, *, limit_id: str
) -> Response:
    """Out of service with a reason, or back; watch carries it out."""
    limit = limit_named(services, limit_id)
    wrong = ask_out_of_service(services, limit_id, text_of(form), who.name)
    if wrong:
        return _one(request, services, wall, limit, wrong=wrong)
    return RedirectResponse(_LIST, 303)


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    limit: Limit,
    *,
    typed: LimitForm | None = None,
    read: Limit | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    settings, subject = services.settings, subject_of(limit)
    built_in = built_in_limits_of(settings).get(limit.id)
    terms = {_AS_TYPED: read, _AS_IT_IS: limit, _AS_BUILT_IN: built_in}
    if read == limit:
        del terms[_AS_TYPED]
    view = limit_view(
        limit,
        settings,
        form=typed,
        measured=is_measured(services, subject),
        month=month_in_terms(services, subject, terms),
        out_of_service=out_of_service(services).get(limit.id),
    )
    may_keep = read is not None and not wrong
    return _page(request, services, wall, view, may_keep=may_keep, wrong=wrong, mark=mark_of(limit))


def _new(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    subject: Subject,
    typed: LimitForm,
    *,
    read: Limit | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    terms = terms_of(subject, services.settings, typed, is_measured(services, subject))
    month = month_in_terms(services, subject, {_AS_TYPED: read})
    view = LimitView(terms=terms, month=month)
    may_keep = read is not None and not wrong
    return _page(request, services, wall, view, may_keep=may_keep, wrong=wrong)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    view: LimitView,
    *,
    may_keep: bool,
    wrong: tuple[str, ...],
    mark: str = "",
) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="setup_limit.html",
        title=view.terms.title,
        view=view,
        mark=mark,
        shown=form_key(view.terms.form) if may_keep else "",
        wrong=wrong,
    )


def _ask_what(
    request: Request, services: PageServices, wall: WallWatch, *, wrong: tuple[str, ...] = ()
) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="setup_new_limit.html",
        title="A new limit",
        view=services.settings.places,
        quantities=[(one.value, quantity_words(one)) for one in Quantity],
        wrong=wrong,
    )
