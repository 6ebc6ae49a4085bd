"""Set-up of limits and rules: all of them, the built-in ones, and the rules that are no limits."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.limit_facts import ask_out_of_service, out_of_service
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.limits_view import limits_view
from dashboards.views.rules_view import read_rule, rule_lines
from dashboards.wall_watch import WallWatch
from service.errors import NotKnownError
from service.rules.rationales import kind_of
from service.rules.settables import BY_KIND
from service.settings import edits

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_HERE = "/setup/limits"


@router.get("/setup/limits")
def limits(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/setup/limits")
def put_built_in(
    request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    """Whether the built-in limits hold beside those that are stated."""
    wanted = text_of(form).get("built_in")
    wrong: tuple[str, ...] = ("Say whether the built-in limits are to hold, yes or no.",)
    if wanted in ("yes", "no"):
        wrong = change(services, who, lambda: edits.built_in_limits(wanted == "yes"))
    return _page(request, services, wall, wrong=wrong) if wrong else RedirectResponse(_HERE, 303)


@router.post("/setup/rules/{kind}")
def put_rule(
    request: Request, services: Services, wall: Wall, who: Who, form: Form, *, kind: str
) -> Response:
    if kind not in BY_KIND:
        raise NotKnownError("There is no such rule.")
    typed, settable = text_of(form), BY_KIND[kind]
    if typed.get("go") == "usual":
        wrong = change(services, who, lambda: edits.rule(kind))
    else:
        read = read_rule(settable, typed)
        on = None if read.is_on == settable.usually_on else read.is_on
        wrong = read.wrong or change(
            services, who, lambda: edits.rule(kind, on=on, numbers=read.numbers)
        )
    if wrong:
        return _page(request, services, wall, wrong=wrong, typed=typed, kind=kind)
    return RedirectResponse(f"{_HERE}#{kind}", 303)


@router.post("/setup/rules/{kind}/service")
def service_rule(
    request: Request, services: Services, wall: Wall, who: Who, form: Form, *, kind: str
) -> Response:
    """One rule of that kind out of service with a reason, or back; watch carries it out."""
    told = text_of(form)
    rule = told.get("rule", "")
    known = {alarm.rule for alarm in services.alarms.open_alarms()} | set(out_of_service(services))
    if kind not in BY_KIND or kind_of(rule) != kind or rule not in known:
        raise NotKnownError("There is no such rule now.")
    wrong = ask_out_of_service(services, rule, told, who.name)
    if wrong:
        return _page(request, services, wall, wrong=wrong, typed=told, kind=kind)
    return RedirectResponse(f"{_HERE}#{kind}", 303)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    wrong: tuple[str, ...] = (),
    typed: dict[str, str] | None = None,
    kind: str | None = None,
) -> Response:
    settings, away = services.settings, out_of_service(services)
    return setup_page(
        request,
        services,
        wall,
        template="setup_limits.html",
        title="Limits and rules",
        view=limits_view(settings, services.readings.series(), away),
        rules=rule_lines(settings, services.alarms.open_alarms(), away, typed=typed, kind=kind),
        wrong=wrong,
    )
