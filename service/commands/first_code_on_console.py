"""Prints the one-time code for the first keeper, which only who is at the machine can read."""

import sys
from collections.abc import Callable
from datetime import datetime
from io import StringIO

import segno

from service.people.digest import digest_of
from service.people.first_code import as_kept, new_first_code
from service.store.people_store import PeopleStore


def offer_first_code(
    people: PeopleStore, port: int, now: datetime, say: Callable[[str], None], *, short: bool
) -> None:
    """Make a new code if there is no keeper yet, and say it; the one before ends.

    ``short``: for a demonstration, where nobody has to become the keeper.
    """
    if people.has_keeper():
        return
    code = new_first_code()
    people.put_first_code(digest_of(as_kept(code)), now)
    page = f"http://127.0.0.1:{port}/first/keeper"
    if short:
        say(f"To try out people and tablets: {page}, code {code}")
        return
    say("There is no keeper yet. Until there is one, the pages answer on this machine only.")
    say(f"Make the first keeper at {page}")
    say(f"  with this code: {code}")
    say(
        "From another computer, by way of ssh: "
        f"ssh -L {port}:127.0.0.1:{port} NAME@THIS-MACHINE, then the same address there."
    )
    if sys.stdout.isatty():
        say("Address and code in one, for whoever reaches this machine in that way by phone:")
        say(terminal_code(f"{page}#{code}"))
    say("The code holds until it is used, or until the next start; ten wrong ones end it.")


def terminal_code(text: str) -> str:
    """A QR code for a terminal."""
    drawn = StringIO()
    segno.make_qr(text, error="l").terminal(out=drawn, compact=True, border=2)
    return drawn.getvalue()
