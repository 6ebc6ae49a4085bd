"""Who may ask for what: one table. Pure.

A route that stands nowhere here is the keeper's alone, so a forgotten line locks a page up
instead of opening it. To open a new page to helpers, add its path to the table.
"""

from collections.abc import Iterable
from enum import IntEnum
from re import Pattern

from starlette.routing import compile_path

from service.people.role import Role

FIRST_STEP = "/first/keeper"
"""Where the first keeper is made; there is no such page once there is one."""

READING = frozenset({"GET", "HEAD", "OPTIONS"})


class Least(IntEnum):
    """The least that somebody must be. Each may do what those before it may."""

    ANYONE = 0
    WALL = 1
    HELPER = 2
    KEEPER = 3


_RANKS = {Role.WALL: Least.WALL, Role.HELPER: Least.HELPER, Role.KEEPER: Least.KEEPER}

READS = {
    Least.ANYONE: (
        "/calendar/{token}.ics",
        "/health",
        "/login",
        "/static/{path:path}",
        "/fonts/{name}",
    ),
    Least.WALL: (
        "/live",
        "/plotting.js",
        "/wall",
        "/wall/picture",
    ),
    Least.HELPER: (
        "/",
        "/air",
        "/air/clocks",
        "/alarms",
        "/alarms/journal",
        "/alarms/why",
        "/api",
        "/api/{path:path}",
        "/changes",
        "/help",
        "/nests",
        "/nests/{box}",
        "/nests/{box}/book",
        "/nests/{box}/card",
        "/nests/{box}/check",
        "/nests/{box}/move",
        "/openapi.json",
        "/password",
        "/season",
        "/season/clean-down",
        "/season/table.csv",
        "/sensors",
        "/sensors/calibration",
        "/sensors/letters",
        "/sensors/one",
        "/setup",
        "/setup/birds",
        "/setup/birds/{bird:int}",
        "/setup/birds/{bird:int}/sheet",
        "/setup/cages",
        "/setup/cages/{place}",
        "/setup/duties",
        "/setup/pairs",
        "/setup/pairs/{pair:int}",
        "/setup/species",
        "/start",
        "/today/low",
        "/today",
        "/today/helper",
    ),
}

WRITES = {
    Least.ANYONE: ("/login",),
    Least.HELPER: (
        "/air/looked",
        "/air/clocks/treated",
        "/air/clocks/treated/{treatment:int}/back",
        "/air/clocks/treated/{treatment:int}/undo",
        "/alarms/{alarm}/acknowledge",
        "/logout",
        "/nests/{box}/check",
        "/nests/{box}/check/preview",
        "/nests/{box}/move",
        "/nests/{box}/sitting",
        "/password",
        "/season/clean-down",
        "/setup/birds/{bird:int}/notes",
        "/setup/cages/{place}/looked",
        "/today/low",
        "/today/low/{low_id:int}/back",
        "/today/low/{low_id:int}/strike",
        "/today",
        "/today/visit/begin",
        "/today/visit/end",
    ),
}

SENSITIVE = (
    "/people",
    "/people/{person}/leave",
    "/people/{person}/password",
    "/people/walls",
    "/people/walls/{token}/revoke",
    "/setup/calendars",
    "/setup/calendars/{calendar}/revoke",
    "/first/phones",
    "/setup/phones",
)
"""Changes that let somebody in: the password is asked again some time after the sign-in."""

_NEEDS_A_KEEPER = (
    "/login",
    "/logout",
    "/password",
    "/people",
    "/people/{path:path}",
)
"""Nothing of this is there before the first keeper is."""

_NOT_PAGES = (
    "/calendar/{token}.ics",
    "/live",
    "/plotting.js",
    "/wall/picture",
    "/openapi.json",
    "/api/{path:path}",
    "/nests/{box}/check/preview",
)
"""What scripts fetch: they are told so in a sentence, instead of being sent to a page."""


def _patterns(paths: Iterable[str]) -> tuple[Pattern[str], ...]:
    return tuple(compile_path(path)[0] for path in paths)


def _compiled(table: dict[Least, tuple[str, ...]]) -> tuple[tuple[Pattern[str], Least], ...]:
    return tuple((pattern, least) for least, paths in table.items() for pattern in _patterns(paths))


_READS = _compiled(READS)
_WRITES = _compiled(WRITES)
_SENSITIVE = _patterns(SENSITIVE)
_AFTER_THE_KEEPER = _patterns(_NEEDS_A_KEEPER)
_SCRIPTS = _patterns(_NOT_PAGES)


def least_for(method: str, path: str) -> Least:
    """The least that somebody must be to do this."""
    table = _READS if method in READING else _WRITES
    return next((least for pattern, least in table if pattern.match(path)), Least.KEEPER)


def may(role: Role | None, least: Least) -> bool:
    """Whether somebody with this role, or with none, is enough."""
    return (Least.ANYONE if role is None else _RANKS[role]) >= least


def is_sensitive(method: str, path: str) -> bool:
    """Whether this is a change that asks for the password again."""
    return method not in READING and _matches(_SENSITIVE, path)


def needs_a_keeper(method: str, path: str) -> bool:
    """Whether this waits until there is a first keeper."""
    return _matches(_AFTER_THE_KEEPER, path) or is_sensitive(method, path)


def is_page(path: str) -> bool:
    """Whether a person looks at it, who can be sent on to another page."""
    return not _matches(_SCRIPTS, path)


def _matches(patterns: Iterable[Pattern[str]], path: str) -> bool:
    return any(pattern.match(path) for pattern in patterns)
