"""Letting phones and tablets in: what holds now, and the switch."""

from collections.abc import Mapping

from fastapi import Request

from dashboards.answers import Asked, change
from dashboards.page_services import PageServices
from dashboards.views.phones_view import EVERYWHERE, THIS_MACHINE, PhonesView, phones_view
from service.machine.own_addresses import own_addresses, own_names
from service.people.role import Visitor
from service.settings import edits


def phones_now(request: Request, services: PageServices) -> PhonesView:
    """What holds now; the port is the one that the request came in by."""
    server = request.scope.get("server")
    return phones_view(
        services.settings,
        has_keeper=services.people.has_keeper(),
        addresses=own_addresses(),
        names=own_names(),
        port=(server[1] if server else None) or services.settings.port,
    )


def answer_phones(
    told: Mapping[str, str], request: Request, services: PageServices, visitor: Visitor
) -> Asked[PhonesView]:
    """Let phones and tablets in, or keep them out again."""
    view = phones_now(request, services)
    if not view.may_change:
        why = (
            "It is set in the file, and changed there."
            if view.in_file
            else "First there has to be a keeper with a password."
        )
        return Asked(view=view, wrong=(why,))
    bind = {"in": EVERYWHERE, "out": THIS_MACHINE}.get(told.get("let", ""))
    if bind is None:
        return Asked(view=view, wrong=("Say whether to let them in or to keep them out.",))
    wrong = change(services, visitor, lambda: edits.let_in(bind))
    return Asked(view=view, wrong=wrong, kept=not wrong)
