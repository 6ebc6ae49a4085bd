"""Rows of records.db to the nest book's values, and back."""

import json
from collections.abc import Sequence
from dataclasses import fields
from typing import Any
from uuid import UUID

from sqlalchemy import RowMapping

from service.nests.nest import (
    Bird,
    Candling,
    Chick,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    Egg,
    EggCandled,
    EggFate,
    EggLost,
    NestCheck,
    Pair,
)
from service.nests.place import Place
from service.nests.species import DaySpan, SpeciesSettings

Row = RowMapping
Values = dict[str, Any]


def place_of(row: Row) -> Place:
    """A row of ``places``."""
    return Place(
        id=row["id"],
        kind=row["kind"],
        name=row["name"],
        within=row["within"],
        order=row["walking_order"],
    )


def place_row(place: Place) -> Values:
    """A place without its revision."""
    return {
        "id": place.id,
        "kind": place.kind,
        "name": place.name,
        "within": place.within,
        "walking_order": place.order,
    }


def bird_of(row: Row) -> Bird:
    """A row of ``birds``."""
    return Bird(**row)


def pair_of(row: Row, birds: dict[int, Bird]) -> Pair:
    """A row of ``pairs`` with its two birds."""
    return Pair(
        id=row["id"],
        cage=row["cage"],
        cock=birds[row["cock_id"]],
        hen=birds[row["hen_id"]],
        put_up_on=row["put_up_on"],
        ended_on=row["ended_on"],
    )


def clutch_of(row: Row, eggs: Sequence[Row], chicks: Sequence[Row]) -> Clutch:
    """A row of ``clutches`` with those of its eggs and chicks, both by number."""
    return Clutch(
        **row,
        eggs=tuple(Egg(**_without_clutch(egg)) for egg in eggs),
        chicks=tuple(Chick(**_without_clutch(chick)) for chick in chicks),
    )


def _without_clutch(row: Row) -> Values:
    return {name: value for name, value in row.items() if name != "clutch_id"}


def clutch_row(clutch: Clutch) -> Values:
    """A clutch without its id, eggs and chicks."""
    return {
        "box": clutch.box,
        "pair_id": clutch.pair_id,
        "round": clutch.round,
        "sitting_from": clutch.sitting_from,
        "hide_in_at": clutch.hide_in_at,
        "closed_at": clutch.closed_at,
    }


def part_row(part: Egg | Chick, clutch_id: int) -> Values:
    """An egg or a chick without its id and its moves, which stand in a table of their own."""
    own = [field.name for field in fields(part) if field.name not in ("id", "moves")]
    row = {name: getattr(part, name) for name in own}
    return row | {"clutch_id": clutch_id}


def check_of(row: Row) -> NestCheck:
    """A row of ``checks``."""
    told = json.loads(row["told"])
    return NestCheck(
        form_id=UUID(row["form_id"]),
        box=row["box"],
        at=row["at"],
        eggs=row["eggs"],
        chicks=row["chicks"],
        hen=row["hen"],
        note=row["note"],
        by=row["by"],
        hide_in=told["hide_in"],
        sure=told["sure"],
        hatched=tuple(told["hatched"]),
        lost=tuple(EggLost(number=n, fate=EggFate(word)) for n, word in told["lost"]),
        candled=tuple(EggCandled(number=n, result=Candling(word)) for n, word in told["candled"]),
        ringed=tuple(ChickRinged(egg_number=n, ring=ring) for n, ring in told["ringed"]),
        gone=tuple(ChickGone(egg_number=n, fate=ChickFate(word)) for n, word in told["gone"]),
    )


def check_row(check: NestCheck, changes: Sequence[str]) -> Values:
    """A check without its clutch and pair."""
    told = {
        "hide_in": check.hide_in,
        "sure": check.sure,
        "hatched": check.hatched,
        "lost": [(egg.number, egg.fate) for egg in check.lost],
        "candled": [(egg.number, egg.result) for egg in check.candled],
        "ringed": [(chick.egg_number, chick.ring) for chick in check.ringed],
        "gone": [(chick.egg_number, chick.fate) for chick in check.gone],
    }
    return {
        "form_id": str(check.form_id),
        "box": check.box,
        "at": check.at,
        "eggs": check.eggs,
        "chicks": check.chicks,
        "hen": check.hen,
        "told": json.dumps(told, ensure_ascii=False),
        "note": check.note,
        "by": check.by,
        "changes": json.dumps(list(changes), ensure_ascii=False),
    }


def species_of(rows: Sequence[Row]) -> SpeciesSettings:
    """Rows of ``species_spans``; a span that has no row keeps its default."""
    known = {field.name for field in fields(SpeciesSettings)}
    told: Values = {
        row["name"]: DaySpan(least=row["least"], most=row["most"], source=row["source"])
        for row in rows
        if row["name"] in known
    }
    if "eggs_before_sitting" in told:
        told["eggs_before_sitting"] = int(told["eggs_before_sitting"].least)
    return SpeciesSettings(**told)


def species_rows(settings: SpeciesSettings) -> list[Values]:
    """One row a span; the one number among them is a span of no width."""
    rows = []
    for field in fields(settings):
        value = getattr(settings, field.name)
        span = value if isinstance(value, DaySpan) else DaySpan(least=value, most=value)
        rows.append(
            {"name": field.name, "least": span.least, "most": span.most, "source": span.source}
        )
    return rows
