"""A form that was filled in over a nest which changed meanwhile, put onto the nest as it is. Pure.

Its counts were told over the eggs and chicks of then. What the form names and the book knows by
now falls away; what the keeper counted beyond that is kept, as far as the book does not account
for it already.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from dashboards.views.check_sent import told_of_counts
from dashboards.views.check_taps import CANDLE, with_taps
from service.errors import InputError
from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
)
from service.nests.nest import Candling, Chick, ChickFate, Egg, Nest
from service.nests.typed_text import whole_of

_MOST = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """An egg, and the chick out of it, as the fields of the form name them."""

    egg_field: str
    chick_field: str
    gone: str
    egg: Egg
    chick: Chick | None


def counted(nest: Nest) -> tuple[int, int]:
    """Eggs and chicks that lie and sit there by the book, guests among them."""
    open_ = nest.clutch if nest.clutch and nest.clutch.closed_at is None else None
    eggs = len(lying_at_home(open_)) if open_ else 0
    chicks = len(chicks_at_home(open_)) if open_ else 0
    return eggs + len(eggs_of_guests(nest)), chicks + len(chicks_of_guests(nest))


def out_already(nest: Nest) -> frozenset[str]:
    """The fields of chicks that are out of the box, and so not counted in it."""
    return frozenset(
        one.chick_field
        for one in known(nest)
        if one.chick is not None and one.chick.fate is ChickFate.FLEDGED
    )


def rebased(sent: Mapping[str, str], nest: Nest) -> dict[str, str]:
    """The form's fields as they are to be shown over the nest as it stands now.

    What can't be told any more, and says something else than the book, goes into the note:
    nothing of it is lost.
    """
    before = _whole(sent, "eggs_before"), _whole(sent, "chicks_before")
    now = counted(nest)
    guests = {guest.egg.id: guest.egg.number for guest in nest.guests}
    kept, unfit = _without_known(sent, nest)
    out = out_already(nest)
    try:
        told = told_of_counts(sent, guests=guests, out=out - _told_out(sent))
        left = told_of_counts(kept, guests=guests, out=out)
    except InputError:
        return dict(sent)  # the form's own fault is told first
    for place, name in enumerate(("eggs", "chicks")):
        counted_now = _whole(sent, name)
        by_hand = sent.get("counted") or counted_now != before[place]
        beyond = counted_now - before[place] - told[place] if by_hand else 0
        by_others = now[place] - before[place] - (told[place] - left[place])
        value = now[place] + left[place] + _not_yet(beyond, by_others)
        kept[name] = str(min(_MOST, max(0, value)))
        kept[f"{name}_before"] = str(now[place])
    kept["counted"] = "yes"
    if unfit:
        told_too = f"Told from a page opened earlier: {', '.join(unfit)}."
        kept["note"] = f"{kept.get('note', '')}\n{told_too}".strip()
    return kept


def _not_yet(beyond: int, by_others: int) -> int:
    """What was counted beyond the names, less what others told of the same kind."""
    if beyond > 0:
        return max(0, beyond - max(0, by_others))
    return min(0, beyond - min(0, by_others))


def _told_out(sent: Mapping[str, str]) -> frozenset[str]:
    """Chicks that this very form tells to have come out: they were in the box for it."""
    told = with_taps(sent)
    return frozenset(
        name.rpartition(".")[0] for name, value in told.items() if value == ChickFate.FLEDGED
    )


def _without_known(sent: Mapping[str, str], nest: Nest) -> tuple[dict[str, str], list[str]]:
    kept = dict(sent)
    unfit: list[str] = []
    for one in known(nest):
        _drop_of_egg(one, kept, unfit)
        if one.chick is not None:
            _drop_of_chick(one, one.chick, kept, unfit)
    laid = len(nest.clutch.eggs) if nest.clutch and nest.clutch.closed_at is None else 0
    for name in [name for name in kept if name.startswith("tap.egg.")]:
        number = name.removeprefix("tap.egg.")
        if (found := whole_of(number)) is not None and found <= laid:
            del kept[name]
    if nest.clutch is not None and nest.clutch.hide_in_at is not None:
        kept.pop("hide_in", None)
    return kept, unfit


def _drop_of_egg(one: Known, kept: dict[str, str], unfit: list[str]) -> None:
    egg, field = one.egg, one.egg_field
    if egg.fate is not None:
        _drop(kept, unfit, f"{field}.fate", egg.fate)
        kept.pop(f"tap.hatched.{field}", None)
    if egg.fate is not None or kept.get(f"{field}.candled") == egg.candling:
        _drop(kept, unfit, f"{field}.candled", egg.candling)
    if egg.fate is not None or egg.candling not in (None, Candling.UNSURE):
        wanted = [thing for thing in kept.get(CANDLE, "").split(",") if thing and thing != field]
        kept[CANDLE] = ",".join(wanted)


def _drop_of_chick(one: Known, chick: Chick, kept: dict[str, str], unfit: list[str]) -> None:
    field = one.chick_field
    if chick.fate is not None and kept.get(f"{field}.{one.gone}") != ChickFate.WEANED:
        _drop(kept, unfit, f"{field}.{one.gone}", chick.fate)
        kept.pop(f"tap.out.{field}", None)
    if chick.fate is ChickFate.WEANED:
        kept.pop(f"tap.weaned.{field}", None)
    if chick.ring is not None:
        if kept.pop(f"tap.ring.{field}", None):
            kept[f"{field}.ring"] = kept.get(f"ring.{field}", "")
        _drop(kept, unfit, f"{field}.ring", chick.ring)


def _drop(kept: dict[str, str], unfit: list[str], name: str, book: str | None) -> None:
    """Take a field out; what says something else than the book is told in words."""
    told = kept.pop(name, "").strip()
    if told and told != book:
        thing, number, what = name.split(".")
        unfit.append(f"{thing} {number} {'ring ' if what == 'ring' else ''}{told}")


def known(nest: Nest) -> Iterator[Known]:
    """Own eggs of the last clutch and guests, whatever became of them."""
    clutch = nest.clutch
    chicks = {chick.egg_number: chick for chick in clutch.chicks} if clutch else {}
    for egg in clutch.eggs if clutch else ():
        yield Known(
            egg_field=f"egg.{egg.number}",
            chick_field=f"chick.{egg.number}",
            gone="fate",
            egg=egg,
            chick=chicks.get(egg.number),
        )
    for guest in nest.guests:
        field = f"guest.{guest.egg.id}"
        yield Known(
            egg_field=field, chick_field=field, gone="gone", egg=guest.egg, chick=guest.chick
        )


def _whole(sent: Mapping[str, str], name: str) -> int:
    return whole_of(sent.get(name, "")) or 0
