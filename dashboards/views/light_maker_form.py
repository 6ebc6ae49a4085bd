"""The maker of a programme of light: from so many hours of light to so many, step by step. Pure."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from dashboards.views.local_words import day_word
from service.climate.light_plan import LightStep
from service.climate.light_programme import MOST_STEPS, Lengthening, Moves, light_min, programme
from service.settings.settings import Settings
from service.settings.written import local_date

Steps = dict[date, tuple[time, time]]
Faults = tuple[str, ...]

LEAST_LIGHT_MIN, MOST_LIGHT_MIN = 60, 1380
_USUAL_TO_H, _USUAL_BY_MIN, _USUAL_EVERY_DAYS = "14", "15", "3"
"""Shown for typing over. 14 h of light: J. Zool. 1973, doi:10.1111/j.1469-7998.1973.tb05061.x
(abstract); a quarter of an hour every few days is common practice, no source."""

_HOURS = re.compile(r"(\d{1,2})(?:[.,](\d{1,2})|:([0-5]\d))?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class MakerForm:
    """As typed: ``from_h`` and ``to_h`` in hours, ``by_min`` in minutes."""

    first: str
    from_h: str
    to_h: str
    by_min: str
    every_days: str
    moves: str


def fixed_steps(settings: Settings) -> Steps:
    """Those that the file states."""
    return {
        step.since: (step.schedule.on, step.schedule.off)
        for step in settings.light.steps
        if ("light_step", step.since.isoformat()) in settings.fixed
    }


def usual_maker(settings: Settings, today: date) -> MakerForm:
    """From the light that holds now to that of the breeding months, from tomorrow on."""
    now = settings.light.schedule_on(today)
    return MakerForm(
        first=(today + timedelta(days=1)).isoformat(),
        from_h=_hours(light_min(now)) if now else "",
        to_h=_USUAL_TO_H,
        by_min=_USUAL_BY_MIN,
        every_days=_USUAL_EVERY_DAYS,
        moves=Moves.MORNING,
    )


def typed_maker(told: Mapping[str, str]) -> MakerForm:
    """The maker as it was sent."""
    return MakerForm(
        **{
            name: told.get(name, "").strip()
            for name in ("first", "from_h", "to_h", "by_min", "every_days", "moves")
        }
    )


def maker_key(form: MakerForm) -> str:
    """Changes with whatever changes the steps."""
    return " ".join((form.first, form.from_h, form.to_h, form.by_min, form.every_days, form.moves))


def read_maker(form: MakerForm, settings: Settings) -> tuple[LightStep, ...] | Faults:
    """The steps that it means, or every fault in words."""
    faults: list[str] = []
    first = _first(form.first, faults)
    from_min, to_min = _light(form.from_h, "From", faults), _light(form.to_h, "To", faults)
    by_min = _whole(form.by_min, "Longer by", "minutes", 240, faults)
    every = _whole(form.every_days, "Every", "days", 90, faults)
    if form.moves not in set(Moves):
        faults.append("Say which end of the day moves: choose one of the three.")
    if None not in {from_min, to_min} and from_min == to_min:
        faults.append(f"To {form.to_h} h: allowed is another length than it begins with.")
    if faults or not (first and from_min and to_min and by_min and every):
        return tuple(faults)
    lamps = settings.light.schedule_on(first)
    if lamps is None:
        return ("First say when the lamps burn, above.",)
    if 2 * lamps.dim > timedelta(minutes=min(from_min, to_min)):
        dim = lamps.dim.total_seconds() / 60
        return (
            f"Too little light to brighten and dim for {dim:g} min each: make that shorter first.",
        )
    terms = Lengthening(
        first=first,
        from_min=from_min,
        to_min=to_min,
        by_min=by_min,
        every_days=every,
        moves=Moves(form.moves),
    )
    try:
        return programme(terms, lamps)
    except ValueError as error:
        return (f"That would be {error}: allowed are at most {MOST_STEPS}.",)


def with_made(settings: Settings, made: Sequence[LightStep]) -> Steps:
    """All steps that shall be once these are kept: they replace what was set from then on."""
    gone = replaced_by(settings, made)
    kept = {step.since: step.schedule for step in settings.light.steps if step.since not in gone}
    new = {step.since: step.schedule for step in made} | kept
    return {since: (lit.on, lit.off) for since, lit in sorted(new.items())}


def replaced_by(settings: Settings, made: Sequence[LightStep]) -> set[date]:
    """The dates of the steps that would go: all from the first new one on, but the file's."""
    if not made:
        return set()
    fixed = fixed_steps(settings)
    steps = settings.light.steps
    return {one.since for one in steps if one.since >= made[0].since and one.since not in fixed}


def _first(text: str, faults: list[str]) -> date | None:
    try:
        return local_date(text)
    except ValueError:
        faults.append(f"First day: {text[:20] or 'nothing'} is no date, such as 2026-01-10.")
        return None


def _light(text: str, what: str, faults: list[str]) -> int | None:
    """Hours as people write them: 9, 9.5, 9,5 or 9:30; in minutes."""
    told = _HOURS.fullmatch(text)
    if told is not None:
        whole, part, minutes = told.groups()
        found = int(whole) * 60 + round(float(f"0.{part or 0}") * 60) + int(minutes or 0)
        if LEAST_LIGHT_MIN <= found <= MOST_LIGHT_MIN:
            return found
    faults.append(f"{what} {text[:20] or 'nothing'} h of light: allowed is 1 to 23, such as 9.5.")
    return None


def _whole(text: str, what: str, unit: str, most: int, faults: list[str]) -> int | None:
    if text.isascii() and text.isdigit() and 1 <= int(text[:5]) <= most:
        return int(text)
    shown = text[:20] or "nothing"
    faults.append(f"{what} {shown} {unit}: allowed are whole {unit} from 1 to {most}.")
    return None


def reached(steps: Sequence[LightStep]) -> str:
    """``14 h of light from 2 March 2026 on``; "" without steps."""
    if not steps:
        return ""
    last = steps[-1]
    light = _hours(light_min(last.schedule))
    return f"{light} h of light from {day_word(last.since)} {last.since.year} on"


def _hours(minutes: int) -> str:
    return f"{minutes // 60}" if minutes % 60 == 0 else f"{minutes // 60}:{minutes % 60:02d}"
