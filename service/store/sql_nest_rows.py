"""Rows of records.db to the nest book's values, and back."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from sqlalchemy import RowMapping

from service.nests.nest import Bird, Chick, Clutch, Egg, Move, Pair
from service.nests.place import Place
from service.nests.species import DaySpan, EggSpan, SpeciesSettings

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


def move_of(row: Row) -> Move:
    """A row of ``moves``."""
    return Move(**{name: value for name, value in row.items() if name != "egg_id"})


def move_row(move: Move, egg_id: int) -> Values:
    """A move without its id."""
    return {
        "egg_id": egg_id,
        "at": move.at,
        "from_box": move.from_box,
        "to_box": move.to_box,
        "why": move.why,
        "by": move.by,
    }


def clutch_of(
    row: Row, eggs: Sequence[Row], chicks: Sequence[Row], moves: Mapping[int, tuple[Move, ...]]
) -> Clutch:
    """A row of ``clutches`` with those of its eggs and chicks, both by number.

    ``moves`` are by the egg's id, in time order.
    """
    return Clutch(
        **row,
        eggs=tuple(Egg(**_without_clutch(egg), moves=moves.get(egg["id"], ())) for egg in eggs),
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


def species_of(rows: Sequence[Row]) -> SpeciesSettings:
    """Rows of ``species_spans``; a span that has no row keeps its default."""
    known = {field.name for field in fields(SpeciesSettings)}
    told: Values = {
        row["name"]: DaySpan(least=row["least"], most=row["most"], source=row["source"])
        for row in rows
        if row["name"] in known
    }
    if "eggs_before_sitting" in told:
        span = told["eggs_before_sitting"]
        least = max(1, int(span.least))  # a book that was brought in may say 0
        told["eggs_before_sitting"] = EggSpan(
            least=least, most=max(least, int(span.most)), source=span.source
        )
    return SpeciesSettings(**told)


def species_rows(settings: SpeciesSettings) -> list[Values]:
    """One row a span, whether of days or of eggs."""
    spans = [(field.name, getattr(settings, field.name)) for field in fields(settings)]
    return [
        {"name": name, "least": span.least, "most": span.most, "source": span.source}
        for name, span in spans
    ]
