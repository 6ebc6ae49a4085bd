"""The heater of the shed, as far as a forecast must know of it: what was typed. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.views.surface_form import typed_number
from service.settings.settings import Settings

THERMOSTAT = ("heater", "thermostat_c")
LEAST_C, MOST_C = -10.0, 35.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterForm:
    """As typed: ``has`` is ``yes`` or ``no``."""

    has: str
    thermostat_c: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterFormView:
    """``in_file``: the file states it."""

    form: HeaterForm
    now: str
    in_file: bool


def heater_form(settings: Settings) -> HeaterForm:
    """The form as it is first shown."""
    if settings.heater_c is None:
        return HeaterForm(has="no", thermostat_c="")
    return HeaterForm(has="yes", thermostat_c=f"{settings.heater_c:g}")


def heater_form_view(form: HeaterForm, settings: Settings) -> HeaterFormView:
    """The form with what holds now."""
    return HeaterFormView(
        form=form,
        now=heater_in_words(settings.heater_c),
        in_file=THERMOSTAT in settings.fixed,
    )


def heater_in_words(thermostat_c: float | None) -> str:
    """``none``, or what its thermostat is set to."""
    return "none" if thermostat_c is None else f"its thermostat is set to {thermostat_c:g}°"


def typed_heater(told: Mapping[str, str]) -> HeaterForm:
    """The form as it was sent."""
    return HeaterForm(has=told.get("has", ""), thermostat_c=told.get("thermostat_c", "").strip())


def read_heater(form: HeaterForm) -> float | tuple[str, ...] | None:
    """What its thermostat is set to, None without a heater, or the fault in words."""
    if form.has == "no":
        return None
    if form.has != "yes":
        return ("Say whether there is a heater: choose one of the two.",)
    found = typed_number(form.thermostat_c)
    if found is None or not LEAST_C <= found <= MOST_C:
        shown = form.thermostat_c[:20] or "nothing"
        return (f"Thermostat at {shown}: allowed is a number from -10 to 35 °C.",)
    return found
