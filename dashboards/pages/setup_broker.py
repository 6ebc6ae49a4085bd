"""Set-up of the broker; a password goes into a file of its own and is never shown again."""

import ssl
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.broker_form import (
    BrokerAnswer,
    BrokerForm,
    broker_form,
    broker_form_view,
    read_broker,
    typed_broker,
)
from dashboards.wall_watch import WallWatch
from service.errors import StoreUnavailableError
from service.machine.whole_file import replace_file
from service.settings import edits
from service.settings.editing import Edit

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_OURS_ALONE = 0o600


@router.get("/setup/broker")
def broker(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall, broker_form(services.settings))


@router.post("/setup/broker")
def put_broker(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    if told.get("which") == "own":
        return _of_this_machine(request, services, wall, who)
    typed = typed_broker(told)
    read = read_broker(typed)
    wrong = read if isinstance(read, tuple) else _certificate_faults(read)
    if wrong or isinstance(read, tuple):
        return _page(request, services, wall, typed, wrong)
    files = _Files(services, read, forget=typed.forget)
    wrong = change(services, who, lambda: files.edit(read))
    files.tidy(kept=not wrong)
    if wrong:
        return _page(request, services, wall, typed, wrong)
    return RedirectResponse("/setup", 303)


def _of_this_machine(
    request: Request, services: PageServices, wall: WallWatch, who: Who
) -> Response:
    """Take back what was named, with its password and certificate."""
    broker = services.settings.broker
    wrong = change(services, who, edits.no_broker)
    if wrong:
        return _page(request, services, wall, broker_form(services.settings), wrong)
    _remove((broker.password_file, broker.ca_file), services.data)
    return RedirectResponse("/setup", 303)


def _remove(files: Iterable[Path | None], data: Path) -> None:
    """Those that we made; no others."""
    for file in files:
        if file is not None and file.parent == data and file.name.startswith("broker-"):
            file.unlink(missing_ok=True)


class _Files:
    """The files beside the settings. New ones get new names, so that a change that fails takes
    nothing away and one that is made is noticed by whoever looks at the names.
    """

    def __init__(self, services: PageServices, answer: BrokerAnswer, *, forget: bool) -> None:
        self._data = services.data
        broker, number = services.settings.broker, services.settings.revision + 1
        self._old = (broker.password_file, broker.ca_file)
        self._new: list[Path] = []
        keep = answer.username is not None and not forget
        self._password = self._named(
            answer.password, f"broker-password-{number}.txt", broker.password_file if keep else None
        )
        self._certificate = self._named(
            answer.certificate,
            f"broker-ca-{number}.pem",
            broker.ca_file if answer.url.startswith("mqtts") and not forget else None,
        )

    def edit(self, answer: BrokerAnswer) -> Edit:
        return edits.broker(
            url=answer.url,
            username=answer.username,
            password_file=self._password,
            ca_file=self._certificate,
        )

    def tidy(self, *, kept: bool) -> None:
        """Remove what nothing names any more, of the files that we made."""
        named = {self._data / name for name in (self._password, self._certificate) if name}
        gone = self._old if kept else self._new
        _remove((file for file in gone if not (kept and file in named)), self._data)

    def _named(self, content: str | None, name: str, old: Path | None) -> str | None:
        """The name to keep: of a new file, of the old one, or none."""
        if content is None:
            return None if old is None else _relative(old, self._data)
        file = self._data / name
        try:
            replace_file(file, f"{content}\n", _OURS_ALONE)
        except OSError as error:
            raise StoreUnavailableError(f"{file} can't be written: {error.strerror}") from error
        self._new.append(file)
        return name


def _relative(file: Path, data: Path) -> str:
    return str(file.relative_to(data)) if file.is_relative_to(data) else str(file)


def _certificate_faults(answer: BrokerAnswer) -> tuple[str, ...]:
    """Whether the TLS library can read what was pasted."""
    if answer.certificate is None:
        return ()
    try:
        ssl.create_default_context(cadata=answer.certificate)
    except (ssl.SSLError, ValueError):
        return ("Certificate: it can't be read; paste its text whole, and nothing else.",)
    return ()


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    form: BrokerForm,
    wrong: tuple[str, ...] = (),
) -> Response:
    heartbeat = services.heartbeat()
    standing = heartbeat.broker if heartbeat else "unknown: watch shows no sign of life"
    return setup_page(
        request,
        services,
        wall,
        template="setup_broker.html",
        title="Broker",
        view=broker_form_view(form, services.settings, standing),
        wrong=wrong,
    )
