"""``clutchweather keeper NAME``: for whoever holds the machine.

Makes a keeper, or gives somebody a new password who has forgotten theirs. Works whether or not
the service runs, and is noted like every other change.
"""

import sys
from collections.abc import Callable
from datetime import datetime
from getpass import getpass
from pathlib import Path

from service.errors import InputError
from service.people.names import person_name, same_name
from service.people.passwords import acceptable, password_hash
from service.people.role import Role
from service.settings.load import read_file_or_last_good
from service.store.kept_settings import Change
from service.store.sql_records import Records
from service.wiring import open_shed


def run_keeper(
    told: str, data: Path, config: Path | None, now: datetime, say: Callable[[str], None]
) -> None:
    """Ask for the password twice, and keep it.

    Raises:
        InputError: the name or the password can't be one; nothing was changed.
    """
    name = person_name(told)
    password = ask_twice(name)
    acceptable(password, name)
    _, stores = open_shed(read_file_or_last_good(config, data), data, writer=False)
    try:
        say(keep_password(stores.records, name, password_hash(password), now))
    finally:
        stores.close()


def keep_password(records: Records, name: str, kept: str, now: datetime) -> str:
    """Make the keeper, or replace the password; returns what was done, in a sentence."""
    people = records.people
    here = (one for one in people.people() if one.left_at is None)
    found = next((one for one in here if same_name(one.name, name)), None)
    if found is None:
        people.add(name, Role.KEEPER, kept, now)
        done = f"{name} is a keeper now"
    else:
        people.set_password(found.id, kept)
        done = f"{found.name}, {found.role.value}, has a new password and is signed out everywhere"
    records.changes.note(Change(at=now, by=None, what=f"At the machine: {done}"))
    return f"{done}."


def ask_twice(name: str) -> str:
    """From the terminal, unseen; from a script, two lines of the standard input.

    Raises:
        InputError: the two are not the same.
    """
    if sys.stdin.isatty():
        first = getpass(f"A password for {name} (at least 10 characters): ")
        second = getpass("Once more: ")
    else:
        first, second = (sys.stdin.readline().rstrip("\r\n") for _ in range(2))
    if first != second:
        raise InputError("The password was typed in two ways; nothing was changed.")
    return first
