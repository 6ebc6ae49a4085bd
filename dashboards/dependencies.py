"""What a route may ask for."""

from typing import Annotated

from fastapi import Depends, Request
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


def _visitor(request: Request) -> Visitor:
    found: Visitor = request.state.visitor
    return found


Services = Annotated[PageServices, Depends(_services)]
Wall = Annotated[WallWatch, Depends(_wall_watch)]
Who = Annotated[Visitor, Depends(_visitor)]


async def read_form(request: Request) -> FormData:
    """The form as it was sent; the routes that ask for it stay plain functions."""
    return await request.form(max_files=0, max_fields=300)
