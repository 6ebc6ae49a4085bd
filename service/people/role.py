"""Who somebody is to the shed."""

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a person, or a tablet, may do.

    The keeper may do all. A helper minds the shed: nest checks, duties, acknowledging alarms;
    changes no limits, settings or people. A wall is a tablet that shows, and can do nothing.
    """

    KEEPER = "keeper"
    HELPER = "helper"
    WALL = "wall"


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """Who asks for a page. ``name`` is None on this machine before there is a keeper."""

    role: Role
    name: str | None = None
