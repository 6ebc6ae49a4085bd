"""The one-time code with which the first keeper proves to stand at the machine."""

import secrets

from service.people.letters import LETTERS, typed

MOST_WRONG = 10
"""After so many wrong codes a new start is needed, which brings a new code."""


def new_first_code() -> str:
    """Four groups of four letters, 79 bits: ``abcd-efgh-jkmn-pqrs``."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(4))


def as_kept(code: str) -> str:
    """The code without what may differ in typing it; its digest is kept."""
    return typed(code)
