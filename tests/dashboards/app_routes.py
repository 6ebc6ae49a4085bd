"""Every method and path of the application, told by the application's own routers."""

import re

from fastapi.routing import APIRoute

from dashboards import app
from dashboards.app import create_app
from tests.dashboards.filled_shed import FilledShed

BEYOND_ROUTERS = (("GET", "/static/wall.js"), ("GET", "/openapi.json"))
"""Mounted, or made by the framework itself."""


_NUMBER = r"\{(person|token|bird|pair|calendar|\w+:int)\}"


def routes(shed: FilledShed) -> list[tuple[str, str]]:
    """With each place-holder filled: with 1 where a number is meant, else with a box."""
    assert create_app(shed.services())
    found = list(BEYOND_ROUTERS)
    for router in app._ROUTERS:
        for route in router.routes:
            assert isinstance(route, APIRoute)
            numbers = re.sub(_NUMBER, "1", route.path)
            path = re.sub(r"\{[^}]+\}", "box-1", numbers)
            found += [(method, path) for method in route.methods or ()]
    return found
