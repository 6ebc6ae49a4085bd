"""The tablets on the wall, and the way in for a new one. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.marks.qr import qr_svg
from dashboards.views.local_words import moment
from service.settings.settings import Settings
from service.settings.written import is_loopback
from service.store.people_store import WallToken


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRow:
    """One tablet that may show the wall, or might once: ``held`` is False then."""

    id: int
    name: str
    standing: str
    held: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NewWall:
    """A token that was just made: shown now, and never again. ``code`` is ``addresses[0]``."""

    name: str
    addresses: tuple[str, ...]
    code: str


def wall_rows(tokens: Sequence[WallToken], now: datetime, zone: ZoneInfo) -> tuple[WallRow, ...]:
    """Newest first, those that hold before those that were taken back."""
    ordered = sorted(tokens, key=lambda one: one.revoked_at is not None)
    return tuple(
        WallRow(
            id=one.id,
            name=one.name,
            standing=_standing(one, now, zone),
            held=one.revoked_at is None,
        )
        for one in ordered
    )


def new_wall(
    name: str,
    token: str,
    settings: Settings,
    *,
    addresses: Sequence[str],
    names: Sequence[str],
    port: int,
) -> NewWall:
    """``addresses`` and ``names`` are those of this machine, beyond loopback."""
    roots = own_roots(settings, addresses=addresses, names=names, port=port)
    urls = tuple(f"{root}/wall?token={token}" for root in roots)
    return NewWall(name=name, addresses=urls, code=qr_svg(urls[0]))


def own_roots(
    settings: Settings, *, addresses: Sequence[str], names: Sequence[str], port: int
) -> tuple[str, ...]:
    """Under which roots other devices reach these pages: ``http://192.0.2.7:8460``."""
    scheme = "https" if settings.certificate_file else "http"
    everywhere = {"0.0.0.0", "::"}  # noqa: S104 - compared, not listened on
    if is_loopback(settings.bind):
        hosts: tuple[str, ...] = (settings.bind,)
    elif settings.bind in everywhere:
        hosts = (*addresses, *(one for one in names if one.endswith(".local")))
    else:
        hosts = (settings.bind,)
    shown = [f"[{host}]" if ":" in host else host for host in hosts]
    return tuple(f"{scheme}://{host}:{port}" for host in shown)


def _standing(token: WallToken, now: datetime, zone: ZoneInfo) -> str:
    made = f"made {moment(token.made_at, now, zone)}"
    by = f" by {token.made_by}" if token.made_by else ""
    if token.revoked_at is not None:
        return f"{made}{by}; taken back {moment(token.revoked_at, now, zone)}"
    seen = (
        f"last seen {moment(token.seen_at, now, zone)}, to a quarter of an hour"
        if token.seen_at
        else "not seen yet"
    )
    return f"{made}{by}; {seen}"
