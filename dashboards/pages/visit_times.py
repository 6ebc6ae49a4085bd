"""A visit begins, a visit ends: one tap each on today's list."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Who, read_form
from dashboards.form_text import text_of
from service.errors import InputError
from service.nests.typed_text import whole_of
from service.nests.visits import visit_at

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.post("/today/visit/begin")
def begin(services: Services, who: Who, form: Form) -> Response:
    now = services.clock.now()
    turn = visit_at(now, services.settings.site.timezone, services.duties.visit_times())
    services.visit_times.begin(
        turn.day, turn.visit, at=now, by=who.name, form_id=_form_id(text_of(form))
    )
    return RedirectResponse("/today", 303)


@router.post("/today/visit/end")
def end(services: Services, who: Who, form: Form) -> Response:
    told = text_of(form).get("visit", "")
    visit = whole_of(told)
    if visit is None:
        raise InputError(f"{told!r} is no visit; open today's list again and end it there.")
    services.visit_times.end(visit, at=services.clock.now(), by=who.name)
    return RedirectResponse("/today", 303)


def _form_id(told: dict[str, str]) -> UUID:
    try:
        return UUID(told.get("form_id", ""))
    except ValueError as error:
        raise InputError("This form has no number; open today's list again.") from error
