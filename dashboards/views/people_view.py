"""Who may come in, as the keeper reads it. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import day_word, local_day, moment
from service.people.role import Role
from service.store.people_store import Person


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonView:
    """``may_leave`` is False for the last keeper."""

    id: int
    name: str
    role: str
    standing: str
    is_self: bool
    may_leave: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PeopleView:
    """``gone`` are names of those who have left, each with the day."""

    here: tuple[PersonView, ...]
    gone: tuple[str, ...]


def people_view(
    people: Sequence[Person],
    last_seen: Mapping[int, datetime],
    visitor: str | None,
    now: datetime,
    zone: ZoneInfo,
) -> PeopleView:
    """``last_seen`` is by person; who is not in it has no open session."""
    here = [one for one in people if one.left_at is None]
    keepers = sum(one.role is Role.KEEPER for one in here)
    return PeopleView(
        here=tuple(
            PersonView(
                id=one.id,
                name=one.name,
                role=one.role.value,
                standing=_standing(one, last_seen.get(one.id), now, zone),
                is_self=one.name == visitor,
                may_leave=one.role is not Role.KEEPER or keepers > 1,
            )
            for one in here
        ),
        gone=tuple(
            f"{one.name}, left on {_day(one.left_at, zone)}"
            for one in people
            if one.left_at is not None
        ),
    )


def _standing(person: Person, seen: datetime | None, now: datetime, zone: ZoneInfo) -> str:
    since = f"here since {_day(person.made_at, zone)}"
    if person.one_time_until is not None:
        until = person.one_time_until
        if until <= now:
            return f"{since}; the one-time password has run out"
        return f"{since}; has a one-time password until {moment(until, now, zone)}"
    if seen is None:
        return f"{since}; signed in nowhere"
    return f"{since}; last seen {moment(seen, now, zone)}, to the hour"


def _day(at: datetime, zone: ZoneInfo) -> str:
    day = local_day(at, zone)
    return f"{day_word(day)} {day.year}"
