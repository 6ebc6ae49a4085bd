"""What a look at one thing found: how it is, and what to do."""

from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """Three answers; what can't be told is never well."""

    WELL = "well"
    LOOK = "look at this"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """``what`` names the thing, ``sentence`` says how it is, ``to_do`` what helps (or nothing)."""

    what: str
    state: State
    sentence: str
    to_do: str = ""


def well(what: str, sentence: str, to_do: str = "") -> Finding:
    """Nothing to do; ``to_do`` is advice at most."""
    return Finding(what=what, state=State.WELL, sentence=sentence, to_do=to_do)


def look(what: str, sentence: str, to_do: str) -> Finding:
    """Something to act on."""
    return Finding(what=what, state=State.LOOK, sentence=sentence, to_do=to_do)


def cannot_tell(what: str, sentence: str, to_do: str) -> Finding:
    """Not known; ``to_do`` says how it can be made known."""
    return Finding(what=what, state=State.CANNOT_TELL, sentence=sentence, to_do=to_do)
