"""Set-up of the shed, and who reaches the pages."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import answer_shed
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.phones import answer_phones, phones_now
from dashboards.setup_frame import setup_page
from dashboards.views.shed_form import ShedAnswer, read_shed, shed_form, shed_form_view

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]

_SHED = {"template": "setup_shed.html", "title": "The shed"}
_PHONES = {"template": "setup_phones.html", "title": "Phones and tablets"}


@router.get("/setup/shed")
def shed(request: Request, services: Services, wall: Wall) -> Response:
    settings = services.settings
    form = shed_form(settings)
    read = read_shed(form)
    meant = read if isinstance(read, ShedAnswer) else None
    view = shed_form_view(form, meant, settings, services.clock.now())
    return setup_page(request, services, wall, view=view, **_SHED)


@router.post("/setup/shed")
def put_shed(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    asked = answer_shed(text_of(form), services, who)
    if asked.kept:
        return RedirectResponse("/setup", 303)
    return setup_page(request, services, wall, view=asked.view, wrong=asked.wrong, **_SHED)


@router.get("/setup/phones")
def phones(request: Request, services: Services, wall: Wall) -> Response:
    return setup_page(request, services, wall, view=phones_now(request, services), **_PHONES)


@router.post("/setup/phones")
def put_phones(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    asked = answer_phones(text_of(form), request, services, who)
    if asked.kept:
        return RedirectResponse("/setup/phones", 303)
    return setup_page(request, services, wall, view=asked.view, wrong=asked.wrong, **_PHONES)
