"""The form that asks "what if": what was typed, and what it means. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from service.nests.workload.ground import MOST_CAGES, WhatIf

MOST_WEEKS = 8
_FURTHEST = timedelta(days=366)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfForm:
    """As it is shown again, with what is wrong in sentences."""

    cages: str
    put_up: str
    second_round: bool
    weeks_later: str
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfAsked:
    """``what_if`` is None where nothing is asked, or where something is wrong."""

    form: WhatIfForm
    what_if: WhatIf | None = None


def what_if_asked(sent: Mapping[str, str], runs: int, today: date, zone: tzinfo) -> WhatIfAsked:
    """``runs`` is how many cages there are to look after now; ``today`` is the shed's day."""
    faults: list[str] = []
    cages = _number(sent, _CAGES, faults)
    weeks = _number(sent, _WEEKS, faults)
    put_up = _day(sent, today, faults)
    again = sent.get("again") == "yes"
    form = WhatIfForm(
        cages=sent.get("cages", str(runs)),
        put_up=sent.get("put_up", today.isoformat()),
        second_round=again,
        weeks_later=sent.get("weeks", "0"),
        faults=tuple(faults),
    )
    asked = (cages is not None and cages != runs) or again or weeks
    if faults or not asked:
        return WhatIfAsked(form=form)
    return WhatIfAsked(
        form=form,
        what_if=WhatIf(
            cages=cages,
            put_up=datetime.combine(put_up, time(12), zone).astimezone(UTC),
            second_round=again,
            later=timedelta(weeks=weeks or 0),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Field:
    """A whole number from 0 to ``most``; ``name`` is what people read."""

    key: str
    name: str
    most: int


_CAGES = _Field(key="cages", name="Cages", most=MOST_CAGES)
_WEEKS = _Field(key="weeks", name="Weeks later", most=MOST_WEEKS)


def _number(sent: Mapping[str, str], field: _Field, faults: list[str]) -> int | None:
    told = sent.get(field.key, "").strip()
    if not told:
        return None
    if not (told.isascii() and told.isdecimal() and int(told[:6]) <= field.most):
        faults.append(f"{field.name}: {told!r} must be a whole number from 0 to {field.most}.")
        return None
    return int(told)


def _day(sent: Mapping[str, str], today: date, faults: list[str]) -> date:
    told = sent.get("put_up", "").strip()
    if not told:
        return today
    try:
        day = date.fromisoformat(told)
    except ValueError:
        faults.append(f"Put up on: {told!r} is no day; write it as {today.isoformat()}.")
        return today
    if not today - timedelta(days=1) <= day <= today + _FURTHEST:
        faults.append(f"Put up on: {told} must lie from today on, within a year.")
    return day
