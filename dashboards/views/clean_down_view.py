"""What is to be done after a season, place by place, and what is done of it. Pure."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.bird_names import bird_label
from dashboards.views.local_words import moment
from service.nests.clean_down import CAUTIONS, BoxOff, CleanDownTask
from service.nests.nest import Pair
from service.nests.place import Place, PlaceKind


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """One thing to do; ``told`` says who did it and when, empty while it is to be done."""

    id: int
    what: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceTasks:
    """All that is to be done at a place; ``summary`` is how far it is."""

    name: str
    id: str
    tasks: tuple[TaskLine, ...]
    summary: str
    done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLine:
    """A nest box; ``off`` says since when it is off, empty while it is on."""

    id: str
    name: str
    off: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingPair:
    """A pair that is still together; ``busy`` while something lives in a box of its cage."""

    id: int
    told: str
    cage: str
    busy: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanDownView:
    """``rests`` are where birds may be put: flights first, then cages."""

    summary: str
    cautions: tuple[str, ...]
    places: tuple[PlaceTasks, ...]
    boxes: tuple[BoxLine, ...]
    pairs: tuple[StandingPair, ...]
    rests: tuple[tuple[str, str], ...]


def clean_down_view(
    tasks: Sequence[CleanDownTask],
    boxes_off: Sequence[BoxOff],
    pairs: Sequence[Pair],
    places: Sequence[Place],
    *,
    busy: Collection[str | None],
    now: datetime,
    zone: ZoneInfo,
) -> CleanDownView:
    """``pairs`` are all; those that have ended are left out. ``busy`` are cages in whose boxes
    something lives.
    """
    names = {place.id: place.name for place in places}
    done = sum(task.done_at is not None for task in tasks)
    return CleanDownView(
        summary=f"{done} of {len(tasks)} things are done." if tasks else "Nothing is listed.",
        cautions=CAUTIONS,
        places=_by_place(tasks, names, now, zone),
        boxes=_boxes(boxes_off, places, now, zone),
        pairs=tuple(
            StandingPair(
                id=pair.id,
                told=f"{bird_label(pair.cock)} and {bird_label(pair.hen)}",
                cage=names.get(pair.cage, pair.cage),
                busy=pair.cage in busy,
            )
            for pair in sorted(pairs, key=lambda pair: pair.id)
            if pair.ended_on is None
        ),
        rests=_rests(places),
    )


def _by_place(
    tasks: Sequence[CleanDownTask], names: Mapping[str, str], now: datetime, zone: ZoneInfo
) -> tuple[PlaceTasks, ...]:
    found: dict[str, list[CleanDownTask]] = {}
    for task in tasks:
        found.setdefault(task.place or "", []).append(task)
    return tuple(
        PlaceTasks(
            name=names.get(place, place) or "The shed",
            id=place,
            tasks=tuple(
                TaskLine(id=task.id, what=task.what, told=_done(task, now, zone)) for task in group
            ),
            summary=_how_far(group),
            done=all(task.done_at for task in group),
        )
        for place, group in found.items()
    )


def _how_far(tasks: Sequence[CleanDownTask]) -> str:
    done = sum(task.done_at is not None for task in tasks)
    return "done" if done == len(tasks) else f"{done} of {len(tasks)} done"


def _done(task: CleanDownTask, now: datetime, zone: ZoneInfo) -> str:
    if task.done_at is None:
        return ""
    by = f" by {task.done_by}" if task.done_by else ""
    return f"done {moment(task.done_at, now, zone)}{by}"


def _boxes(
    boxes_off: Sequence[BoxOff], places: Sequence[Place], now: datetime, zone: ZoneInfo
) -> tuple[BoxLine, ...]:
    off = {one.box: one for one in boxes_off}
    return tuple(
        BoxLine(
            id=place.id,
            name=place.name,
            off=f"off since {moment(off[place.id].since, now, zone)}" if place.id in off else "",
        )
        for place in places
        if place.kind is PlaceKind.BOX
    )


def _rests(places: Sequence[Place]) -> tuple[tuple[str, str], ...]:
    kinds = (PlaceKind.FLIGHT, PlaceKind.CAGE)
    return tuple((place.id, place.name) for kind in kinds for place in places if place.kind is kind)
