"""Templates: what they are given is escaped, always."""

import hashlib
from functools import cache
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

FOLDER = Path(__file__).parent
STATIC = FOLDER / "static"
_ENVIRONMENT = Environment(
    loader=FileSystemLoader(FOLDER / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    auto_reload=False,
    trim_blocks=True,
    lstrip_blocks=True,
)


def drawn(svg: str) -> Markup:
    """SVG of our own marks, which escape what they are given, for use in a template."""
    return Markup(svg)  # noqa: S704  the one place where text is taken as markup


_ENVIRONMENT.filters["drawn"] = drawn
_TEMPLATES = Jinja2Templates(env=_ENVIRONMENT)


def load_templates() -> str:
    """Read all templates now, so that an update under a running server mixes nothing.

    Returns the build id of what was read.
    """
    for name in _ENVIRONMENT.list_templates():
        _ENVIRONMENT.get_template(name)
    return build_id()


@cache
def build_id() -> str:
    """Changes with every file that a browser may have kept: pages reload when it does."""
    digest = hashlib.sha256()
    for folder in (STATIC, FOLDER / "templates"):
        for file in sorted(folder.iterdir()):
            digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()[:12]


def page(request: Request, template: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """Fill a template. ``values`` are view types of the page."""
    return _TEMPLATES.TemplateResponse(
        request,
        template,
        {
            **values,
            "build": build_id(),
            "again_field": getattr(request.state, "again_field", ""),
            "csrf_field": getattr(request.state, "csrf_field", ""),
            "visitor": getattr(request.state, "visitor", None),
        },
        status_code=status,
    )
