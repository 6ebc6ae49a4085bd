"""What is due, as events of whole days in the shed; and the addresses that tell them. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from dashboards.marks.qr import qr_svg
from dashboards.views.due_words import due_title
from dashboards.views.local_words import moment
from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates
from service.nests.moved_dues import moved_dues, moved_in_words
from service.nests.nest import Nest
from service.nests.species import SpeciesSettings
from service.store.calendar_store import CalendarToken

# Of an egg that has not hatched, what is months away is not told yet.
_FAR_OFF = (DueKind.INDEPENDENT, DueKind.SPLIT)

# What the birds do by themselves needs no bell.
QUIET = (DueKind.NEXT_EGG, DueKind.CLUTCH_COMPLETE, DueKind.FLEDGE, DueKind.INDEPENDENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class DueEvent:
    """``first`` to ``last`` are days of the shed, both included.

    ``key`` stays the same however the days move. ``unsure`` is what hangs on an egg that has
    not hatched yet. ``rings`` says whether it needs somebody, and ``rings_again`` whether the
    last day must not be missed.
    """

    key: str
    first: date
    last: date
    title: str
    why: str
    unsure: bool
    rings: bool
    rings_again: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarRow:
    """One secret address, or one that was: ``held`` is False then."""

    id: int
    name: str
    standing: str
    held: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCalendar:
    """An address that was just made: shown now, and never again. ``code`` is the first."""

    name: str
    addresses: tuple[str, ...]
    code: str


def due_events(
    nests: Sequence[Nest], species: SpeciesSettings, now: datetime, zone: tzinfo
) -> tuple[DueEvent, ...]:
    """All that is due in all boxes, each with its reason and what moved it last."""
    names = {nest.box.id: nest.box.name for nest in nests}
    found = []
    for nest in nests:
        moves = moved_dues(nest, species, now, zone)
        chicks = _ids_of_chicks(nest)
        for due in due_dates(nest, species, now, zone):
            unsure = _is_unsure(due, chicks)
            if unsure and due.kind in _FAR_OFF:
                continue
            told = [due.why]
            if (move := moves.get(due.key)) is not None:
                told.append(moved_in_words(move, due, zone))
            found.append(
                DueEvent(
                    key=_key(nest, due),
                    first=due.since.astimezone(zone).date(),
                    last=due.until.astimezone(zone).date(),
                    title=f"{nest.box.name}: {due_title(due, names)}",
                    why=" ".join(f"{one[0].upper()}{one[1:]}." for one in told),
                    unsure=unsure,
                    rings=due.kind not in QUIET and not unsure,
                    rings_again=due.kind is DueKind.RING,
                )
            )
    return tuple(found)


def uid_of(token: CalendarToken, key: str) -> str:
    """The UID of an event: the same for the same thing, and of nobody else's calendar."""
    return str(uuid5(UUID(token.digest[:32]), key))


def calendar_rows(
    tokens: Sequence[CalendarToken], now: datetime, zone: ZoneInfo
) -> tuple[CalendarRow, ...]:
    """Newest first, those that hold before those that were taken back."""
    ordered = sorted(tokens, key=lambda one: one.revoked_at is not None)
    return tuple(
        CalendarRow(
            id=one.id,
            name=one.name,
            standing=_standing(one, now, zone),
            held=one.revoked_at is None,
        )
        for one in ordered
    )


def new_calendar(name: str, token: str, roots: Sequence[str]) -> NewCalendar:
    """``roots`` are those under which other devices reach the pages; at least one."""
    addresses = tuple(f"{root}/calendar/{token}.ics" for root in roots)
    return NewCalendar(name=name, addresses=addresses, code=qr_svg(addresses[0]))


def _ids_of_chicks(nest: Nest) -> frozenset[int]:
    """The ids of the eggs that are chicks already."""
    ids = {guest.egg.id for guest in nest.guests if guest.chick is not None}
    for clutch in (nest.clutch, nest.before):
        if clutch is not None:
            ids |= {clutch.eggs[chick.egg_number - 1].id for chick in clutch.chicks}
    return frozenset(ids)


def _is_unsure(due: Due, chicks: frozenset[int]) -> bool:
    of_a_chick = (DueKind.RING, DueKind.FLEDGE, DueKind.INDEPENDENT, DueKind.SPLIT)
    return due.kind in of_a_chick and due.egg_id not in chicks


def _key(nest: Nest, due: Due) -> str:
    """An egg keeps its key in whichever box it lies; what concerns a box, for its clutch."""
    if due.egg_id is not None:
        return f"egg {due.egg_id} {due.kind}"
    clutch = nest.clutch.id if nest.clutch is not None else 0
    return f"{nest.box.id} clutch {clutch} {due.kind} {due.egg_number or ''}".strip()


def _standing(token: CalendarToken, now: datetime, zone: ZoneInfo) -> str:
    made = f"made {moment(token.made_at, now, zone)}"
    by = f" by {token.made_by}" if token.made_by else ""
    if token.revoked_at is not None:
        return f"{made}{by}; taken back {moment(token.revoked_at, now, zone)}"
    seen = (
        f"last read {moment(token.seen_at, now, zone)}, to a quarter of an hour"
        if token.seen_at
        else "not read yet"
    )
    return f"{made}{by}; {seen}"
