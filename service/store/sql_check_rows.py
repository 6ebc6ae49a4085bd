"""Rows of ``checks`` to the keeper's looks, and back."""

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any
from uuid import UUID

from pydantic import TypeAdapter
from sqlalchemy import RowMapping

from service.nests.nest import (
    BeddingSeen,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    NestCheck,
    Weighed,
)

Row = RowMapping
Values = dict[str, Any]

_GUESTS = TypeAdapter(tuple[GuestSeen, ...])
_BEDDING = TypeAdapter(BeddingSeen | None)
_WEIGHED = TypeAdapter(tuple[Weighed, ...])


def check_of(row: Row) -> NestCheck:
    """A row of ``checks``; one of an older version says nothing of what that did not know."""
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
        guests=_GUESTS.validate_python(told.get("guests", ())),
        not_in_sight=tuple(told.get("not_in_sight", ())),
        bedding=_BEDDING.validate_python(told.get("bedding")),
        weighed=_WEIGHED.validate_python(told.get("weighed", ())),
    )


def check_row(check: NestCheck, changes: Sequence[str]) -> Values:
    """A check without its clutch and pair."""
    return {
        "form_id": str(check.form_id),
        "box": check.box,
        "at": check.at,
        "eggs": check.eggs,
        "chicks": check.chicks,
        "hen": check.hen,
        "told": json.dumps(_told(check), ensure_ascii=False),
        "note": check.note,
        "by": check.by,
        "changes": json.dumps(list(changes), ensure_ascii=False),
    }


def _told(check: NestCheck) -> Values:
    told: Values = {
        "hide_in": check.hide_in,
        "sure": check.sure,
        "hatched": check.hatched,
        "lost": [(egg.number, egg.fate) for egg in check.lost],
        "candled": [(egg.number, egg.result) for egg in check.candled],
        "ringed": [(chick.egg_number, chick.ring) for chick in check.ringed],
        "gone": [(chick.egg_number, chick.fate) for chick in check.gone],
        "guests": [asdict(guest) for guest in check.guests],
        "not_in_sight": check.not_in_sight,
        "bedding": asdict(check.bedding) if check.bedding else None,
        "weighed": [asdict(weighed) for weighed in check.weighed],
    }
    optional = ("guests", "not_in_sight", "bedding", "weighed")
    return {name: value for name, value in told.items() if value or name not in optional}
