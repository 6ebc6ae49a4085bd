"""What a route may ask for."""

from typing import Annotated

from fastapi import Depends, HTTPException, Path, Request
from starlette.datastructures import FormData

from dashboards.page_services import PageServices
from dashboards.wall_watch import WallWatch
from service.people.role import Visitor


def _services(request: Request) -> PageServices:
    found: PageServices = request.app.state.services
    return found


def _wall_watch(request: Request) -> WallWatch:
    found: WallWatch = request.app.state.wall_watch
    return found


def _perhaps_a_visitor(request: Request) -> Visitor | None:
    found: Visitor | None = request.state.visitor
    return found


def _visitor(found: Annotated[Visitor | None, Depends(_perhaps_a_visitor)]) -> Visitor:
    if found is None:
        raise HTTPException(401, "Sign in first.")
    return found


Services = Annotated[PageServices, Depends(_services)]
Wall = Annotated[WallWatch, Depends(_wall_watch)]
Who = Annotated[Visitor, Depends(_visitor)]
MaybeWho = Annotated[Visitor | None, Depends(_perhaps_a_visitor)]

RowId = Annotated[int, Path(le=2**63 - 1)]
"""A number in an address by which a row is known; SQLite has none that are longer."""


async def read_form(request: Request) -> FormData:
    """The form as it was sent; the routes that ask for it stay plain functions."""
    return await request.form(max_files=0, max_fields=300)
