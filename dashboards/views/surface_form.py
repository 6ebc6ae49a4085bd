"""How cold the coldest surface of the shed is: what was typed, and what it means. Pure.

The usual factors are reckoned by the temperature factor of ISO 13788, f = 1 - U x Rsi, with
Rsi = 0.13 m²K/W for glass and sheet metal and 0.25 for walls, from usual U values [W/m²K]: single
glass 5.8, old double glass 2.8, boards of 20 mm 2.3, boards with 50 mm of insulation 0.6. All
from memory, and rounded.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from service.climate.cold_surface import ColdSurface
from service.nests.place import PlaceKind
from service.settings.settings import Settings

FACTOR, BELOW = ("surface", "temperature_factor"), ("surface", "below_air_c")
SOURCE = "reckoned by ISO 13788 from usual values, from memory; your own measurement is better"

LEAST_APART_K = 5.0
"""Inside and outdoors must differ by so much: half a kelvin of error then makes a tenth."""

_NUMBER = re.compile(r"[-\N{MINUS SIGN}]?\d{1,3}(?:[.,]\d{1,3})?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualSurface:
    """A kind of coldest surface, with its usual factor."""

    word: str
    name: str
    factor: float


USUAL = (
    UsualSurface(word="glass", name="Single glass, or bare sheet metal", factor=0.25),
    UsualSurface(word="boards", name="Thin boards, nothing behind them", factor=0.4),
    UsualSurface(word="double", name="Double glass, and walls that are lined", factor=0.6),
    UsualSurface(word="lined", name="Lined all round, no window", factor=0.8),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceForm:
    """As typed. ``which`` is the word of a usual surface, ``measured``, ``factor``, ``below`` or
    ``unknown``; the numbers that belong to it are the others.
    """

    which: str
    inside_c: str = ""
    outdoors_c: str = ""
    surface_c: str = ""
    factor: str = ""
    below_k: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceFormView:
    """``now`` says in words what holds; ``sensor`` names the place of a sensor that measures it."""

    form: SurfaceForm
    now: str
    usual: tuple[UsualSurface, ...]
    source: str
    sensor: str | None
    has_outdoors: bool
    in_file: bool


def surface_form(settings: Settings) -> SurfaceForm:
    """The form as it is first shown."""
    surface = settings.surface
    if surface is None:
        return SurfaceForm(which="unknown")
    if surface.below_air_k is not None:
        return SurfaceForm(which="below", below_k=f"{surface.below_air_k:g}")
    factor = surface.temperature_factor
    usual = [one.word for one in USUAL if one.factor == factor]
    return SurfaceForm(which=usual[0] if usual else "factor", factor=f"{factor:g}")


def surface_form_view(form: SurfaceForm, settings: Settings) -> SurfaceFormView:
    """The form with what holds now."""
    sensed = {sensor.place for sensor in settings.sensors}
    surfaces = [p.name for p in settings.places if p.kind is PlaceKind.SURFACE and p.id in sensed]
    outdoors = {place.id for place in settings.places if place.kind is PlaceKind.OUTDOORS}
    return SurfaceFormView(
        form=form,
        now=surface_in_words(settings.surface),
        usual=USUAL,
        source=SOURCE,
        sensor=surfaces[0] if surfaces else None,
        has_outdoors=bool(outdoors & sensed),
        in_file=bool(settings.fixed & {FACTOR, BELOW}),
    )


def surface_in_words(surface: ColdSurface | None) -> str:
    """``4° colder than the air``, or how far it lies from outdoors to the air inside."""
    if surface is None:
        return "not known"
    if surface.below_air_k is not None:
        return f"{surface.below_air_k:g}° colder than the air inside"
    factor = surface.temperature_factor or 0.0
    usual = [one.name.lower() for one in USUAL if one.factor == factor]
    told = f"{100 * factor:.0f} % of the way from outdoors to the air inside"
    return f"{usual[0]}: {told}" if usual else told


def typed_surface(told: Mapping[str, str]) -> SurfaceForm:
    """The form as it was sent."""
    return SurfaceForm(
        which=told.get("which", ""),
        **{
            name: told.get(name, "").strip()
            for name in ("inside_c", "outdoors_c", "surface_c", "factor", "below_k")
        },
    )


def read_surface(form: SurfaceForm) -> ColdSurface | tuple[str, ...] | None:
    """What it means, None where it is not known, or every fault in words."""
    usual = {one.word: one.factor for one in USUAL}
    if form.which == "unknown":
        return None
    if form.which in usual:
        return ColdSurface(temperature_factor=usual[form.which])
    if form.which == "measured":
        return _measured(form)
    if form.which == "factor":
        return _one(form.factor, "Factor", 0.0, 1.0)
    if form.which == "below":
        return _one(form.below_k, "Degrees below the air", 0.1, 40.0)
    return ("Say how cold the coldest surface is: choose one.",)


def _one(text: str, what: str, least: float, most: float) -> ColdSurface | tuple[str, ...]:
    found = typed_number(text)
    if found is None or not least <= found <= most:
        shown = text[:20] or "nothing"
        return (f"{what} {shown}: allowed is a number from {least:g} to {most:g}.",)
    if what == "Factor":
        return ColdSurface(temperature_factor=found)
    return ColdSurface(below_air_k=found)


def _measured(form: SurfaceForm) -> ColdSurface | tuple[str, ...]:
    told = {
        "Inside": form.inside_c,
        "Outdoors": form.outdoors_c,
        "The surface": form.surface_c,
    }
    numbers = {what: typed_number(text) for what, text in told.items()}
    wrong = [
        f"{what} {told[what][:20] or 'nothing'}: allowed is a temperature from -50 to 60 °C."
        for what, number in numbers.items()
        if number is None or not -50 <= number <= 60
    ]
    inside, outdoors, surface = numbers.values()
    if wrong or inside is None or outdoors is None or surface is None:
        return tuple(wrong)
    if inside - outdoors < LEAST_APART_K:
        return (
            f"Inside {inside:g}°, outdoors {outdoors:g}°: that is too near; measure when it is at "
            f"least {LEAST_APART_K:g}° warmer inside.",
        )
    if not outdoors <= surface <= inside:
        return (f"The surface {surface:g}°: it lies between outdoors and the air inside.",)
    return ColdSurface(temperature_factor=round((surface - outdoors) / (inside - outdoors), 2))


def typed_number(text: str) -> float | None:
    """A number as people write it, with a point or a comma; None where it is none."""
    if not _NUMBER.fullmatch(text):
        return None
    return float(text.replace(",", ".").replace("\N{MINUS SIGN}", "-"))
