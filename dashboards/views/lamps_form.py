"""When the lamps are meant to burn: what was typed, what it means, how much light that is. Pure.

Light is counted from ``on`` to ``off``, dimming included; lamps may burn across midnight.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time, timedelta

from service.climate.light_plan import LampSchedule
from service.settings.settings import Settings
from service.settings.written import clock_time

ON, OFF, DIM = ("light", "on"), ("light", "off"), ("light", "dim")

_DAY_MIN = 24 * 60
_USUAL = ("06:30", "20:30", "30")
"""Shown for typing over: common practice in the breeding months, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LampsForm:
    """As typed: ``has`` is ``yes`` or ``no``; ``dim`` in minutes."""

    has: str
    on: str
    off: str
    dim: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LampsFormView:
    """``light`` tells how much light that is; ``shown`` what it was told for."""

    form: LampsForm
    light: str | None
    shown: str
    in_file: str | None


def lamps_form(settings: Settings) -> LampsForm:
    """The form as it is first shown; on or off is not chosen before anything is set."""
    schedule = settings.light.schedule
    if schedule is None:
        return LampsForm(has="", on=_USUAL[0], off=_USUAL[1], dim=_USUAL[2])
    return LampsForm(
        has="yes",
        on=f"{schedule.on:%H:%M}",
        off=f"{schedule.off:%H:%M}",
        dim=f"{schedule.dim.total_seconds() / 60:g}",
    )


def typed_lamps(told: Mapping[str, str]) -> LampsForm:
    """The form as it was sent."""
    return LampsForm(
        has=told.get("has", ""),
        on=told.get("on", "").strip(),
        off=told.get("off", "").strip(),
        dim=told.get("dim", "").strip(),
    )


def read_lamps(form: LampsForm) -> LampSchedule | tuple[str, ...] | None:
    """The schedule, None for a shed without lamps, or every fault in words."""
    if form.has == "no":
        return None
    if form.has != "yes":
        return ("Say whether there are lamps: choose one of the two.",)
    faults: list[str] = []
    on = _time(form.on, "Lamps on at", faults)
    off = _time(form.off, "Lamps off at", faults)
    dim = _minutes(form.dim, faults)
    if on is None or off is None or dim is None:
        return tuple(faults)
    if on == off:
        return (
            f"Lamps off at {form.off}: allowed is another time than {form.on}, when they go on.",
        )
    schedule = LampSchedule(on=on, off=off, dim=dim)
    if 2 * dim > light_time(schedule):
        return (
            f"Brighten and dim for {form.dim} min: allowed is at most half the light, "
            f"{light_time(schedule).total_seconds() / 120:g} min.",
        )
    return schedule


def _time(text: str, what: str, faults: list[str]) -> time | None:
    try:
        return clock_time(text)
    except ValueError:
        shown = text[:20] or "nothing"
        faults.append(f"{what}: {shown} is no time; allowed: 00:00 to 23:59, such as 06:30.")
        return None


def _minutes(text: str, faults: list[str]) -> timedelta | None:
    if text.isascii() and text.isdigit() and int(text[:5]) <= 720:
        return timedelta(minutes=int(text))
    shown = text[:20] or "nothing"
    faults.append(f"Brighten and dim for {shown} min: allowed are whole minutes from 0 to 720.")
    return None


def light_time(schedule: LampSchedule) -> timedelta:
    """From on to off, across midnight where off comes first."""
    minutes = [60 * at.hour + at.minute for at in (schedule.on, schedule.off)]
    return timedelta(minutes=(minutes[1] - minutes[0]) % _DAY_MIN)


def light_in_words(schedule: LampSchedule) -> str:
    """``14 h of light, 10 h of dark``; ``overnight`` where the lamps burn across midnight."""
    light_min = int(light_time(schedule).total_seconds() / 60)
    over = ", overnight" if schedule.off < schedule.on else ""
    return f"{_hours(light_min)} of light{over}, {_hours(_DAY_MIN - light_min)} of dark"


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h" + (f" {rest} min" if rest else "")


def lamps_form_view(form: LampsForm, settings: Settings) -> LampsFormView:
    """The form with the light that it means, where it means any."""
    meant = read_lamps(
        form if form.has else LampsForm(has="yes", on=form.on, off=form.off, dim="0")
    )
    schedule = meant if isinstance(meant, LampSchedule) else None
    in_file = None
    if settings.fixed & {ON, OFF, DIM}:
        set_up = settings.light.schedule
        in_file = "No lamps" if set_up is None else f"{set_up.on:%H:%M} to {set_up.off:%H:%M}"
    return LampsFormView(
        form=form,
        light=light_in_words(schedule) if schedule else None,
        shown=shown_key(form),
        in_file=in_file,
    )


def shown_key(form: LampsForm) -> str:
    """Changes with whatever changes the light."""
    return f"{form.on} {form.off}"
