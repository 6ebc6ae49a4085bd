"""Set-up of the days in a nest: the spans that due dates are reckoned with, and their sources."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.as_shown import MEANWHILE, is_stale, mark_of
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.setup_frame import setup_page
from dashboards.views.species_form import SPAN_WORDS, in_words, read_species, span_rows
from service.nests.species import SpeciesSettings
from service.people.role import Role
from service.store.kept_settings import Change

router = APIRouter()

_PAGE = {"template": "setup_species.html", "title": "Days in a nest"}


@router.get("/setup/species")
def species(request: Request, services: Services, wall: Wall, who: Who) -> Response:
    kept = services.nest_book.species()
    may_change = who.role is Role.KEEPER
    return setup_page(
        request,
        services,
        wall,
        view=span_rows(kept),
        may_change=may_change,
        mark=mark_of(kept),
        **_PAGE,
    )


@router.post("/setup/species")
def put_species(
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    typed = text_of(form)
    before = services.nest_book.species()
    if typed.get("go") == "built in":
        after: SpeciesSettings | None = SpeciesSettings()
        wrong: tuple[str, ...] = ()
    else:
        read = read_species(typed, before)
        after, wrong = read.species, read.wrong
    if is_stale(typed, before):
        after, wrong = None, (MEANWHILE, *_now(before, typed))
    if after is None:
        rows = span_rows(before, typed)
        return setup_page(
            request,
            services,
            wall,
            view=rows,
            wrong=wrong,
            may_change=True,
            mark=mark_of(before),
            **_PAGE,
        )
    if after != before:
        services.nest_book.put_species(after)
    for change in _changes(before, after, who.name, services.clock.now()):
        services.changes.note(change)
    return RedirectResponse("/setup", 303)


def _now(kept: SpeciesSettings, typed: Mapping[str, str]) -> tuple[str, ...]:
    """What stands of the spans that were typed otherwise."""
    return tuple(
        f"{row.words.capitalize()}: now {in_words(getattr(kept, row.name))}."
        for row, wanted in zip(span_rows(kept), span_rows(kept, typed), strict=True)
        if row != wanted
    )


def _changes(
    before: SpeciesSettings, after: SpeciesSettings, by: str | None, at: datetime
) -> list[Change]:
    """What was changed, for the record of changes."""
    pairs = [
        (one.name, getattr(before, one.name), getattr(after, one.name)) for one in fields(after)
    ]
    return [
        Change(
            at=at,
            by=by,
            what=f"Days in the nest book: {SPAN_WORDS[name]}.",
            before=in_words(old),
            after=in_words(new),
        )
        for name, old, new in pairs
        if old != new
    ]
