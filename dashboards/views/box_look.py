"""What to look for in a box today, and what a look found. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.due_words import due_thing
from dashboards.views.local_words import (
    clock_time,
    count,
    local_day,
    near_day,
    span_of_days,
    start_of_day,
)
from dashboards.views.nest_holds import there_in_words
from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates, next_due
from service.nests.nest import HenSeen, Nest, NestCheck
from service.nests.plain_look import is_plain, lies_there
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage, stage

_TO_DO = {
    DueKind.NEXT_EGG: "Look for {things}",
    DueKind.CLUTCH_COMPLETE: "See whether the clutch is complete",
    DueKind.CANDLE: "Hold the eggs to a light",
    DueKind.HATCH: "Look for a chick out of {things}",
    DueKind.RING: "Ring {things}",
    DueKind.HIDE_IN: "Put a place to hide on the floor",
    DueKind.FLEDGE: "See whether {things} came out",
    DueKind.INDEPENDENT: "See whether {things} feeds itself",
    DueKind.SPLIT: "Put {things} apart from its parents",
    DueKind.BOX_OFF: "Take the box off, unless they go on to another round",
}
_OF_MANY = {
    DueKind.INDEPENDENT: "See whether {things} feed themselves",
    DueKind.SPLIT: "Put {things} apart from their parents",
}

_TOLD_BY_NO_LOOK = (DueKind.CLUTCH_COMPLETE, DueKind.SPLIT, DueKind.BOX_OFF)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToLookFor:
    """One thing that today may bring. ``late``: its span has ended. ``in_box``: the keeper has
    to look into the box for it, or to do something there, and tells what came of it.
    """

    words: str
    when: str
    why: str
    kind: DueKind
    late: bool
    in_box: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLook:
    """One box on the walk.

    ``holds`` is what the book says lies there; ``ahead`` what comes next where nothing is to be
    looked for yet. ``looked`` tells of the newest look of this visit, else empty; ``form_id``
    is its id where it changed nothing, so that it can be taken back. ``still`` is what one tap
    says ("still 5 eggs"); ``revision`` is that of the nest that was read for it.
    """

    box: str
    name: str
    holds: str
    to_look_for: tuple[ToLookFor, ...]
    ahead: str
    kind: DueKind | None
    looked: str
    at: datetime | None
    by: str
    form_id: str | None
    still: str
    eggs: int
    chicks: int
    revision: int
    lives: bool


def box_look(
    nest: Nest,
    species: SpeciesSettings,
    now: datetime,
    zone: ZoneInfo,
    *,
    since: datetime,
    names: Mapping[str, str],
) -> BoxLook:
    """``since`` is when this visit began: a look since then has been made. ``names`` by id."""
    dues = due_dates(nest, species, now, zone)
    found = _to_look_for(dues, now, zone, names)
    eggs, chicks = lies_there(nest)
    last = nest.checks[-1] if nest.checks and nest.checks[-1].at >= since else None
    tomorrow = start_of_day(local_day(now, zone) + timedelta(days=1), zone)
    coming = next_due([due for due in dues if due.since >= tomorrow], now)
    return BoxLook(
        box=nest.box.id,
        name=nest.box.name,
        holds=_holds(nest, species, now),
        to_look_for=found,
        ahead="" if coming is None else _ahead(coming, now, zone, names),
        kind=found[0].kind if found else None,
        looked="" if last is None else _looked(last, zone),
        at=None if last is None else last.at,
        by="" if last is None else last.by or "",
        form_id=None if last is None or not is_plain(last) else str(last.form_id),
        still=f"still {_counted(eggs, chicks)}" if eggs + chicks else "still empty",
        eggs=eggs,
        chicks=chicks,
        revision=nest.revision,
        lives=bool(eggs + chicks) or nest.pair is not None or bool(dues),
    )


def _holds(nest: Nest, species: SpeciesSettings, now: datetime) -> str:
    at = stage(nest, now, species)
    there = there_in_words(nest)
    told = there or ("no pair breeds here" if at is Stage.EMPTY else "nothing lies there yet")
    if at in (Stage.EMPTY, Stage.PAIRED):
        return told if at is Stage.EMPTY else f"{at.value}, {told}"
    hen = nest.checks[-1].hen if nest.checks else HenSeen.NOT_SEEN
    if hen in (HenSeen.SITTING, HenSeen.IN_BOX) and at is not Stage.SITTING:
        return f"{told}, {at.value}; hen last seen {hen.value}"
    return f"{told}, {at.value}"


def _to_look_for(
    dues: Sequence[Due], now: datetime, zone: ZoneInfo, names: Mapping[str, str]
) -> tuple[ToLookFor, ...]:
    """What begins by the end of today, the most pressing first; several of a kind are one line."""
    tonight = start_of_day(local_day(now, zone) + timedelta(days=1), zone)
    begun = [due for due in dues if due.since < tonight]
    kinds = dict.fromkeys(due.kind for due in sorted(begun, key=lambda due: due.until))
    return tuple(
        _of_kind([due for due in begun if due.kind is kind], now, zone, names) for kind in kinds
    )


def _of_kind(
    dues: Sequence[Due], now: datetime, zone: ZoneInfo, names: Mapping[str, str]
) -> ToLookFor:
    kind = dues[0].kind
    first, until = min(due.since for due in dues), min(due.until for due in dues)
    late = until < now
    today = local_day(now, zone)
    if late:
        when = f"late since {near_day(local_day(until, zone), today)}"
    else:
        when = span_of_days(local_day(first, zone), local_day(until, zone), today)
    things = _things([due_thing(due, dict(names)) for due in dues])
    sentence = _OF_MANY.get(kind, _TO_DO[kind]) if len(dues) > 1 else _TO_DO[kind]
    return ToLookFor(
        words=sentence.format(things=things),
        when=when,
        why=dues[0].why,
        kind=kind,
        late=late,
        in_box=kind not in _TOLD_BY_NO_LOOK,
    )


def _things(told: Sequence[str]) -> str:
    """``egg 1``, ``eggs 1 and 2``, ``egg 1 and egg 2 of Box 3``."""
    if len(told) == 1:
        return told[0]
    words = [thing.split(" ") for thing in told]
    if all(len(parts) == 2 for parts in words):
        numbers = [parts[1] for parts in words]
        return f"{words[0][0]}s {', '.join(numbers[:-1])} and {numbers[-1]}"
    return f"{', '.join(told[:-1])} and {told[-1]}"


_AHEAD = {
    DueKind.NEXT_EGG: "{thing}",
    DueKind.CLUTCH_COMPLETE: "the clutch complete",
    DueKind.CANDLE: "ready to be held to a light",
    DueKind.HATCH: "{thing} hatches",
    DueKind.RING: "{thing} gets its ring",
    DueKind.HIDE_IN: "a place to hide goes in",
    DueKind.FLEDGE: "{thing} comes out",
    DueKind.INDEPENDENT: "{thing} feeds itself",
    DueKind.SPLIT: "{thing} apart from its parents",
    DueKind.BOX_OFF: "the box comes off",
}


def _ahead(due: Due, now: datetime, zone: ZoneInfo, names: Mapping[str, str]) -> str:
    days = span_of_days(
        local_day(due.since, zone), local_day(due.until, zone), local_day(now, zone)
    )
    return f"Next: {_AHEAD[due.kind].format(thing=due_thing(due, dict(names)))}, {days}"


def _looked(check: NestCheck, zone: ZoneInfo) -> str:
    return f"Looked {clock_time(check.at, zone)}: {_counted(check.eggs, check.chicks)}"


def _counted(eggs: int, chicks: int) -> str:
    parts = []
    if chicks:
        parts.append(count(chicks, "chick"))
    if eggs:
        parts.append(count(eggs, "egg"))
    return " and ".join(parts) or "empty"
