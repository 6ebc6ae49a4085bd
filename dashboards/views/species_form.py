"""The days in a nest as a form: what is typed, read back as spans, with every fault in words."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from service.nests.species import DaySpan, EggSpan, SpeciesSettings

MOST_DAYS = 365
MOST_EGGS = 30
LONGEST_SOURCE = 200
SET_BY_YOU = "set by you"

SPAN_WORDS = {
    "next_egg_after_egg": "from one egg to the next",
    "complete_after_last_egg": "after the last egg, until the clutch is complete",
    "eggs_before_sitting": "the hen begins to sit with egg",
    "candle_after_sitting": "from sitting to candling",
    "hatch_after_sitting": "from sitting to hatching",
    "ring_after_hatch": "from hatching to the ring",
    "hide_before_fledge": "a place to hide, before the first outing",
    "fledge_after_hatch": "from hatching to the first outing",
    "independent_after_hatch": "from hatching to feeding itself",
    "split_after_hatch": "from hatching to apart from its parents",
    "box_off_after_last_out": "from the last out to the box off",
}
"""In the order in which a nest goes through them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanRow:
    """One span, to be edited: what stands in its fields. ``unit`` is "days" or nothing."""

    name: str
    words: str
    least: str
    most: str
    source: str
    unit: str
    built_in: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadSpecies:
    """``species`` is None where something is ``wrong``: then nothing is to be changed."""

    species: SpeciesSettings | None = None
    wrong: tuple[str, ...] = ()


def span_rows(
    species: SpeciesSettings, typed: Mapping[str, str] | None = None
) -> tuple[SpanRow, ...]:
    """The spans as they stand, or as they were ``typed``."""
    typed = typed or {}
    rows = []
    for name, words in SPAN_WORDS.items():
        span: DaySpan | EggSpan = getattr(species, name)
        first: DaySpan | EggSpan = getattr(SpeciesSettings(), name)
        rows.append(
            SpanRow(
                name=name,
                words=words,
                least=typed.get(f"{name}.least", f"{span.least:g}"),
                most=typed.get(f"{name}.most", f"{span.most:g}"),
                source=typed.get(f"{name}.source", span.source),
                unit="days" if isinstance(span, DaySpan) else "",
                built_in=f"{first.least:g} to {first.most:g}",
            )
        )
    return tuple(rows)


def read_species(form: Mapping[str, str], before: SpeciesSettings) -> ReadSpecies:
    """The settings with the spans that the form names; all its faults at once.

    A span that was changed and kept its old source, or lost it, has the keeper as its source.
    """
    read: dict[str, DaySpan | EggSpan] = {}
    wrong = []
    for field in fields(before):
        try:
            read[field.name] = _read(field.name, form, getattr(before, field.name))
        except ValueError as error:
            wrong.append(f"{SPAN_WORDS[field.name].capitalize()}: {error}")
    if wrong:
        return ReadSpecies(wrong=tuple(wrong))
    return ReadSpecies(species=replace(before, **read))  # type: ignore[arg-type]


def in_words(span: DaySpan | EggSpan) -> str:
    """``17 to 20 days (extension e-course)``, ``egg 1 to 3 (set by you)``."""
    told = f"{span.least:g} to {span.most:g}"
    told = f"{told} days" if isinstance(span, DaySpan) else f"egg {told}"
    return f"{told} ({span.source})"


def _read(name: str, form: Mapping[str, str], before: DaySpan | EggSpan) -> DaySpan | EggSpan:
    least = form.get(f"{name}.least", f"{before.least:g}").strip()
    most = form.get(f"{name}.most", f"{before.most:g}").strip()
    source = _source(form.get(f"{name}.source", before.source), before.source)
    if isinstance(before, DaySpan):
        days = _days(least), _days(most)
        _in_order(*days)
        if days != (before.least, before.most) and source == before.source:
            source = SET_BY_YOU
        return DaySpan(least=days[0], most=days[1], source=source)
    eggs = _egg(least), _egg(most)
    _in_order(*eggs)
    if eggs != (before.least, before.most) and source == before.source:
        source = SET_BY_YOU
    return EggSpan(least=eggs[0], most=eggs[1], source=source)


def _source(told: str, before: str) -> str:
    told = " ".join(told.split())
    if len(told) > LONGEST_SOURCE:
        raise ValueError(f"the source has {len(told)} letters, {LONGEST_SOURCE} are the most")
    return told or (SET_BY_YOU if before else before)


def _days(told: str) -> float:
    try:
        days = float(told.replace(",", "."))
    except ValueError as error:
        raise ValueError(f"{told!r} is no number of days; write 17 or 17.5") from error
    if not math.isfinite(days) or not 0 <= days <= MOST_DAYS:
        raise ValueError(f"{told} days can't be; days run from 0 to {MOST_DAYS}")
    return days


def _egg(told: str) -> int:
    if not (told.isascii() and told.isdigit() and len(told) <= 3):
        raise ValueError(f"{told!r} is no number of an egg; write 1, 2 or 3")
    if not 1 <= int(told) <= MOST_EGGS:
        raise ValueError(f"there is no egg {told}; eggs count from 1 to {MOST_EGGS}")
    return int(told)


def _in_order(least: float, most: float) -> None:
    if least > most:
        raise ValueError(f"{least:g} to {most:g} ends before it begins; put the smaller first")
