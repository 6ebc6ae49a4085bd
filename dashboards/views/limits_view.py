"""All limits and rules as they stand: what each says, what is usual, what nobody watches. Pure."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from dashboards.views.limit_words import (
    DURING_WORDS,
    PRIORITY_WORDS,
    WHEN_WORDS,
    holds_in_words,
    rule_in_words,
)
from devices.reading import Quantity
from service.alarms.wording import verdict_words
from service.nests.place import Place, PlaceKind
from service.rules.limit import During, Limit, When
from service.settings.build import built_in_of
from service.settings.settings import Settings
from service.store.reading_store import Series

NOBODY_MEASURES = "no sensor measures it there, so it can't speak"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitLine:
    """One limit. ``standing`` says where its terms come from, ``note`` what keeps it silent."""

    id: str
    name: str
    rule: str
    then: str
    standing: str
    note: str | None
    is_off: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceLimits:
    """The limits of one place."""

    name: str
    lines: tuple[LimitLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsView:
    """``unwatched`` are dangers that no limit tells of, in sentences. ``built_in`` says whether
    the built-in limits hold, ``built_in_fixed`` that the file says so.
    """

    places: tuple[PlaceLimits, ...]
    unwatched: tuple[str, ...]
    none_at_all: bool
    built_in: bool
    built_in_fixed: bool
    can_have_built_in: bool


def limits_view(
    settings: Settings, series: Sequence[Series], out_of_service: Collection[str]
) -> LimitsView:
    """``series`` are all that were ever measured, ``out_of_service`` the rules that are."""
    measured = measured_at(settings, series)
    return LimitsView(
        places=tuple(
            PlaceLimits(name=place.name, lines=lines)
            for place in settings.places
            if (lines := tuple(_lines(place, settings, measured, out_of_service)))
        ),
        unwatched=tuple(_unwatched(settings, out_of_service)),
        none_at_all=not settings.limits,
        built_in=settings.limits_built_in,
        built_in_fixed=("limits", "built_in") in settings.fixed,
        can_have_built_in=bool(built_in_limits_of(settings)),
    )


def built_in_limits_of(settings: Settings) -> dict[str, Limit]:
    """The built-in limits of the places there are, by id, whether they hold or not."""
    sensed = {sensor.place for sensor in settings.sensors}
    return {limit.id: limit for limit in built_in_of(settings.places, sensed)}


def measured_at(settings: Settings, series: Sequence[Series]) -> set[tuple[str, Quantity]]:
    """What sensors that stand there now have told, by place."""
    stands = {(sensor.device, sensor.place) for sensor in settings.sensors}
    return {(one.place, one.quantity) for one in series if (one.device, one.place) in stands}


def standing_words(limit: Limit, settings: Settings) -> str:
    """Where the terms of a limit come from."""
    usual = built_in_limits_of(settings).get(limit.id)
    if ("limit", limit.id) in settings.fixed:
        return "set in the file"
    if usual is None:
        return "your own"
    if usual == limit:
        return "as built in"
    return f"changed by you; built in: {rule_in_words(usual)}"


def _lines(
    place: Place,
    settings: Settings,
    measured: Collection[tuple[str, Quantity]],
    out_of_service: Collection[str],
) -> Iterator[LimitLine]:
    off = {limit.id for limit in settings.limits_off}
    for limit in (*settings.limits, *settings.limits_off):
        if limit.place != place.id:
            continue
        note = None
        if limit.id in off:
            note = "switched off"
        elif limit.id in out_of_service:
            note = "out of service"
        elif (limit.place, limit.quantity) not in measured:
            note = NOBODY_MEASURES
        yield LimitLine(
            id=limit.id,
            name=verdict_words(limit),
            rule=_rule(limit),
            then=PRIORITY_WORDS[limit.priority],
            standing=standing_words(limit, settings),
            note=note,
            is_off=limit.id in off,
        )


def _rule(limit: Limit) -> str:
    """The time in which it holds is told where it is not always."""
    told = f"{limit.quantity.value.replace('_', ' ')} {rule_in_words(limit)}"
    if limit.when is When.ALWAYS and limit.during is During.ALWAYS:
        return told
    return f"{told}, {holds_in_words(limit)}"


def _unwatched(settings: Settings, out_of_service: Collection[str]) -> Iterator[str]:
    """Of every shed: cold and heat are dangers that somebody should be told of at any time."""
    for place in settings.places:
        if place.kind is not PlaceKind.SHED:
            continue
        for is_low, words in ((True, "too cold"), (False, "too hot")):
            holding = [
                limit
                for limit in settings.limits
                if limit.place == place.id
                and limit.quantity is Quantity.TEMPERATURE
                and (limit.low is not None) is is_low
                and limit.id not in out_of_service
            ]
            missing = [time for time in _TIMES if not any(_at(one, *time) for one in holding)]
            if missing:
                yield f"Nothing tells when it is {words} in {place.name}{_when(missing)}."


_TIMES = tuple(product((When.DAY, When.NIGHT), (During.BREEDING, During.RESTING)))


def _at(limit: Limit, when: When, during: During) -> bool:
    return limit.when in (When.ALWAYS, when) and limit.during in (During.ALWAYS, during)


def _when(missing: Sequence[tuple[When, During]]) -> str:
    """In which light, or in which part of the year; nothing where it is always."""
    lights, parts = {one[0] for one in missing}, {one[1] for one in missing}
    light = f" {WHEN_WORDS[lights.pop()]}" if len(lights) == 1 else ""
    part = f" {DURING_WORDS[parts.pop()]}" if len(parts) == 1 else ""
    return light + part or ("" if len(missing) == len(_TIMES) else " at some times")
