"""Cages, boxes and flights as things: sizes, what belongs into them, what is missing. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from zoneinfo import ZoneInfo

from dashboards.views.local_words import age, count
from service.nests.fit_out import FITTED, PROPOSED, FitOut, FitOutItem, Looked, Size
from service.nests.parentage import day_in_words
from service.nests.place import Place, PlaceKind

_LARGEST_CM = {PlaceKind.CAGE: 500.0, PlaceKind.BOX: 200.0, PlaceKind.FLIGHT: 5000.0}
# Common practice, no source; shown as what is usual, and never filled in by itself.
_USUAL = {PlaceKind.CAGE: "60 x 40 x 40", PlaceKind.BOX: "17 x 24 x 20"}
_MOST_ITEMS = 40
_LONGEST_ITEM = 60
_MEASURES = ("width", "depth", "height")


@dataclass(frozen=True, slots=True, kw_only=True)
class CageRow:
    """A place in walking order; ``state`` says what is missing, in words."""

    id: str
    name: str
    words: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemLine:
    """``state`` is there, missing or not looked for, with its age."""

    id: int
    name: str
    state: str
    is_missing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CageView:
    """One place; ``after`` is the next one of the walk as (id, name)."""

    id: str
    name: str
    words: str
    usual: str
    typed: Mapping[str, str]
    alike: str
    items: tuple[ItemLine, ...]
    state: str
    after: tuple[str, str] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingLine:
    """A place at which something has to be done; what is missing has the age of the look."""

    name: str
    missing: tuple[str, ...]
    unseen: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingView:
    """``lines`` in walking order; ``whole`` is how many places have all; ``bare`` have no list."""

    lines: tuple[MissingLine, ...]
    whole: int
    bare: tuple[str, ...]
    on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListView:
    """The fit-out list of one kind, a line an item; ``is_kept``: else it is a proposal."""

    kind: str
    text: str
    is_kept: bool


def cage_rows(
    found: Sequence[FitOut], sizes: Mapping[str, Size], places: Sequence[Place]
) -> tuple[CageRow, ...]:
    """Every place with a size or list, in walking order."""
    return tuple(
        CageRow(
            id=one.place.id,
            name=one.place.name,
            words=_words(one.place, sizes.get(one.place.id), places),
            state=state_in_words(one),
        )
        for one in found
    )


def _words(place: Place, size: Size | None, places: Sequence[Place]) -> str:
    around = next((one.name for one in places if one.id == place.within), "")
    told = f"{place.kind.value} in {around}" if around else place.kind.value
    return f"{told}; {size_in_words(size)}"


def size_in_words(size: Size | None) -> str:
    """``60 x 40 x 40 cm``: width, depth, height."""
    if size is None:
        return "not measured"
    return f"{size.width_cm:g} x {size.depth_cm:g} x {size.height_cm:g} cm"


def state_in_words(found: FitOut) -> str:
    """What is missing; not having looked is never nothing missing."""
    if not found.items:
        return "no fit-out list"
    told = []
    if found.missing:
        told.append("missing: " + ", ".join(one.item.name for one in found.missing))
    if found.unseen:
        some = count(len(found.unseen), "thing")
        told.append(
            "nobody has looked"
            if len(found.unseen) == len(found.items)
            else f"{some} not looked for"
        )
    return "; ".join(told) or "all there"


def cage_view(
    found: Sequence[FitOut],
    place_id: str,
    sizes: Mapping[str, Size],
    places: Sequence[Place],
    *,
    typed: Mapping[str, str],
    now: datetime,
) -> CageView | None:
    """One place; None where it has no size or list."""
    at = next((n for n, one in enumerate(found) if one.place.id == place_id), None)
    if at is None:
        return None
    one = found[at]
    kind = one.place.kind
    after = found[at + 1].place if at + 1 < len(found) else None
    unmeasured = sum(
        other.place.kind is kind and other.place.id not in sizes and other.place.id != place_id
        for other in found
    )
    return CageView(
        id=place_id,
        name=one.place.name,
        words=_words(one.place, sizes.get(place_id), places),
        usual=_USUAL.get(kind, ""),
        typed=typed or _size_typed(sizes.get(place_id)),
        alike=f"and the {count(unmeasured, kind.value, _many(kind))} without a size too"
        if unmeasured
        else "",
        items=tuple(_item(looked, now) for looked in one.items),
        state=state_in_words(one),
        after=(after.id, after.name) if after else None,
    )


def _many(kind: PlaceKind) -> str:
    return "boxes" if kind is PlaceKind.BOX else f"{kind.value}s"


def _size_typed(size: Size | None) -> dict[str, str]:
    if size is None:
        return dict.fromkeys(_MEASURES, "")
    values = (size.width_cm, size.depth_cm, size.height_cm)
    return {name: f"{value:g}" for name, value in zip(_MEASURES, values, strict=True)}


def _item(looked: Looked, now: datetime) -> ItemLine:
    seen = looked.seen
    state = "not looked for yet"
    if seen is not None:
        ago = age((now - seen.at).total_seconds())
        by = f", {seen.by}" if seen.by else ""
        state = f"{'there' if seen.there else 'missing'}, seen {ago} ago{by}"
    return ItemLine(
        id=looked.item.id,
        name=looked.item.name,
        state=state,
        is_missing=seen is not None and not seen.there,
    )


def read_size(typed: Mapping[str, str], kind: PlaceKind) -> Size | tuple[str, ...] | None:
    """The size that was typed, None where all three are empty, or every fault in words."""
    told = {name: typed.get(name, "").strip().replace(",", ".") for name in _MEASURES}
    if not any(told.values()):
        return None
    faults, values = [], {}
    most = _LARGEST_CM[kind]
    for name, text in told.items():
        value = _number(text)
        if value is None or not 0 < value <= most:
            shown = text[:20] or "nothing"
            faults.append(
                f"{name.capitalize()}: {shown} is no measure of a {kind.value}; allowed: more "
                f"than 0 and up to {most:g} cm."
            )
        else:
            values[name] = value
    if faults:
        return tuple(faults)
    return Size(width_cm=values["width"], depth_cm=values["depth"], height_cm=values["height"])


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if isfinite(value) else None


def read_looks(typed: Mapping[str, str], items: Sequence[FitOutItem]) -> dict[int, bool]:
    """What was said of each item; one of which nothing was said is left out.

    ``all=there`` says of every item that it is there.
    """
    if typed.get("all") == "there":
        return {item.id: True for item in items}
    words = {item.id: typed.get(f"item.{item.id}", "") for item in items}
    return {item: word == "there" for item, word in words.items() if word in {"there", "missing"}}


def read_list(text: str) -> tuple[str, ...] | str:
    """The items that were typed, one a line, or what is wrong in words."""
    names = [" ".join(line.split()) for line in text.splitlines()]
    names = [name for name in names if name]
    if len(names) > _MOST_ITEMS:
        return f"{len(names)} lines are too many; allowed: up to {_MOST_ITEMS}."
    for name in names:
        if len(name) > _LONGEST_ITEM or not name.isprintable():
            return f"{name[:30]}: allowed: up to {_LONGEST_ITEM} signs that can be shown."
        if names.count(name) > 1:
            return f"{name} stands there twice; once is enough."
    return tuple(names)


def list_views(items: Sequence[FitOutItem]) -> tuple[ListView, ...]:
    """The lists of all kinds; a kind that has none is shown what is proposed."""
    told = []
    for kind in FITTED:
        kept = [item.name for item in items if item.kind is kind]
        told.append(
            ListView(
                kind=kind.value,
                text="\n".join(kept or PROPOSED[kind]),
                is_kept=bool(kept),
            )
        )
    return tuple(told)


def _with_age(looked: Looked, now: datetime) -> str:
    if looked.seen is None:
        return looked.item.name
    return f"{looked.item.name} (seen {age((now - looked.seen.at).total_seconds())} ago)"


def missing_view(found: Sequence[FitOut], now: datetime, zone: ZoneInfo) -> MissingView:
    """Where something is missing or was not looked for, in walking order."""
    lines = tuple(
        MissingLine(
            name=one.place.name,
            missing=tuple(_with_age(looked, now) for looked in one.missing),
            unseen=tuple(looked.item.name for looked in one.unseen),
        )
        for one in found
        if one.missing or one.unseen
    )
    return MissingView(
        lines=lines,
        whole=sum(bool(one.items) and not one.missing and not one.unseen for one in found),
        bare=tuple(one.place.name for one in found if not one.items),
        on=day_in_words(now.astimezone(zone).date()),
    )
