"""The programme of light: its steps as rows to type over. Pure.

A row whose date is empty says nothing, and one that is ticked goes. What the file states is shown
and not typed.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from dashboards.as_shown import mark_of
from dashboards.views.lamps_form import light_in_words, light_time
from dashboards.views.light_maker_form import (
    Faults,
    MakerForm,
    Steps,
    fixed_steps,
    maker_key,
    reached,
    replaced_by,
    usual_maker,
)
from dashboards.views.local_words import day_word
from service.climate.light_plan import LampSchedule, LightStep
from service.climate.light_programme import MOST_STEPS
from service.settings.settings import Settings
from service.settings.written import clock_time, local_date


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """As typed or as set; ``light`` says how much light and dark that is, ``hours`` how much
    light; both "" for what was typed.
    """

    since: str
    on: str
    off: str
    light: str = ""
    hours: str = ""
    day: str = ""
    in_file: bool = False
    holds_now: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LightStepsView:
    """``past`` are steps that later ones have replaced. ``made`` are those of the maker, to be
    looked at before they are kept; ``shown`` is what it made them of. ``made_ends`` says when
    the last length is reached, and ``replaced`` how many of the steps that stand would go.
    """

    has_lamps: bool
    rows: tuple[StepRow, ...]
    past: tuple[StepRow, ...]
    mark: str
    maker: MakerForm
    made: tuple[StepRow, ...] = ()
    made_ends: str = ""
    replaced: int = 0
    shown: str = ""

    @property
    def numbered(self) -> tuple[tuple[int, StepRow], ...]:
        """The rows, of the past ones on, with the numbers that their fields bear."""
        return tuple(enumerate((*self.past, *self.rows)))


def light_steps_view(
    settings: Settings,
    today: date,
    *,
    typed: Sequence[StepRow] | None = None,
    maker: MakerForm | None = None,
    made: Iterable[LightStep] = (),
) -> LightStepsView:
    """What is set; ``typed`` are rows that could not be kept, ``made`` steps to be looked at."""
    steps = tuple(made)
    rows = step_rows(settings, today) if typed is None else tuple(typed)
    begun = [at for at, row in enumerate(rows) if row.holds_now]
    now = begun[0] if begun else 0
    return LightStepsView(
        has_lamps=bool(settings.light.schedule or settings.light.steps),
        rows=rows[now:],
        past=rows[:now],
        mark=stands(settings),
        maker=maker or usual_maker(settings, today),
        made=tuple(_row(step) for step in steps),
        made_ends=reached(steps),
        replaced=len(replaced_by(settings, steps)),
        shown="" if maker is None or not steps else maker_key(maker),
    )


def step_rows(settings: Settings, today: date) -> tuple[StepRow, ...]:
    """The steps that are set, oldest first."""
    begun = [step.since for step in settings.light.steps if step.since <= today]
    now = begun[-1] if begun else None
    fixed = fixed_steps(settings)
    return tuple(
        _row(step, in_file=step.since in fixed, holds_now=step.since == now)
        for step in settings.light.steps
    )


def stands(settings: Settings) -> str:
    """A mark that is another one as soon as a step is."""
    return mark_of(settings.light.steps)


def typed_steps(told: Mapping[str, str]) -> tuple[StepRow, ...]:
    """The rows as they were sent, without those that are ticked to go or have no date."""
    numbers = (int(name[6:]) for name in told if re.fullmatch(r"since-(0|[1-9][0-9]{0,3})", name))
    rows = (
        StepRow(
            since=told[f"since-{number}"].strip(),
            on=told.get(f"on-{number}", "").strip(),
            off=told.get(f"off-{number}", "").strip(),
        )
        for number in sorted(numbers)
        if f"gone-{number}" not in told
    )
    return tuple(row for row in rows if row.since)


def read_steps(rows: Sequence[StepRow], settings: Settings) -> Steps | Faults:
    """All steps that shall be, those of the file among them; or every fault in words."""
    faults: list[str] = []
    found: Steps = fixed_steps(settings)
    if len(rows) > MOST_STEPS:
        return (f"{len(rows)} steps: allowed are at most {MOST_STEPS}.",)
    for row in rows:
        step = _read(row, settings.light.schedule, faults)
        if step is None:
            continue
        since, lit = step
        if found.setdefault(since, lit) != lit:
            faults.append(f"From {day_word(since)} {since.year}: there is another step already.")
    return tuple(faults) if faults else found


def _read(
    row: StepRow, lamps: LampSchedule | None, faults: list[str]
) -> tuple[date, tuple[time, time]] | None:
    try:
        since = local_date(row.since)
    except ValueError:
        faults.append(f"From {row.since[:20]}: that is no date; allowed: 2000-01-01 to 2199-12-31.")
        return None
    name = f"From {day_word(since)} {since.year}"
    try:
        on, off = clock_time(row.on), clock_time(row.off)
    except ValueError:
        faults.append(
            f"{name}: on at {row.on[:20] or 'nothing'}, off at {row.off[:20] or 'nothing'}; "
            "allowed are times from 00:00 to 23:59, such as 06:30."
        )
        return None
    dim = lamps.dim if lamps else timedelta(0)
    if on == off:
        faults.append(f"{name}: off at {row.off}; allowed is another time than on.")
    elif 2 * dim > light_time(LampSchedule(on=on, off=off)):
        minutes = dim.total_seconds() / 60
        faults.append(f"{name}: too little light to brighten and dim for {minutes:g} min each.")
    return since, (on, off)


def _row(step: LightStep, *, in_file: bool = False, holds_now: bool = False) -> StepRow:
    lit = step.schedule
    return StepRow(
        since=step.since.isoformat(),
        on=f"{lit.on:%H:%M}",
        off=f"{lit.off:%H:%M}",
        light=light_in_words(lit),
        hours=light_in_words(lit).partition(" of ")[0],
        day=f"{day_word(step.since)} {step.since.year}",
        in_file=in_file,
        holds_now=holds_now,
    )
