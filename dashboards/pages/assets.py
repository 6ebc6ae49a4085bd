"""Fonts and the plotting library, from the packages that are installed. Nothing from afar."""

from functools import cache
from importlib.resources import as_file, files
from pathlib import Path

from fastapi import APIRouter
from fastapi.responses import FileResponse, PlainTextResponse, Response

from dashboards.marks.text_width import BOLD, REGULAR, font_file, licence_text

router = APIRouter()

_KEEP = {"cache-control": "public, max-age=604800"}


@router.get("/fonts/regular.ttf")
def regular() -> Response:
    return FileResponse(font_file(REGULAR), media_type="font/ttf", headers=_KEEP)


@router.get("/fonts/bold.ttf")
def bold() -> Response:
    return FileResponse(font_file(BOLD), media_type="font/ttf", headers=_KEEP)


@router.get("/fonts/licence.txt")
def licence() -> Response:
    return PlainTextResponse(licence_text())


@router.get("/plotting.js")
def plotting() -> Response:
    return FileResponse(_bundle(), media_type="text/javascript", headers=_KEEP)


@cache
def _bundle() -> Path:
    with as_file(files("plotly") / "package_data" / "plotly.min.js") as path:
        return path
