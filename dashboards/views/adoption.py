"""Giving a sender a place: what is asked and suggested, and what the answers come to. Pure."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import age
from dashboards.views.names import name_faults
from dashboards.views.places_view import new_id
from dashboards.views.quantity_words import quantity_words, unit_words
from devices.formats.leaf_words import meaning_of
from devices.reading import Quantity
from devices.units import UnitError, convert
from service.errors import ConfigurationError, InputError
from service.nests.place import PlaceKind
from service.settings import edits
from service.settings.editing import Edit, both
from service.settings.kept import value_at
from service.settings.settings import Settings
from service.store.kept_settings import Document
from service.store.reading_store import Stranger

NEW_PLACE = "a new place"
"""No id of a place has a space, so this is none."""
USUAL_INTERVAL = timedelta(seconds=60)
_NEW_KINDS = (
    PlaceKind.BOX,
    PlaceKind.CAGE,
    PlaceKind.FLIGHT,
    PlaceKind.OUTDOORS,
    PlaceKind.SURFACE,
)
_DURATION = re.compile(r"(\d{1,6}(?:[.,]\d{1,3})?) ?(s|min|h|d)", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceChoice:
    """A place to tap. ``stands`` says which sensors stand there already."""

    id: str
    name: str
    stands: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRow:
    """What a sender tells under one name. Where the name is no quantity's own, ``asks``: then
    ``chosen`` is the quantity that is suggested, empty for "leave out".
    """

    measure: str
    said: str
    asks: bool
    chosen: str
    why: str
    trouble: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Where a sensor may stand, and a place that is not there yet."""

    choices: tuple[PlaceChoice, ...]
    is_new: bool
    new_name: str
    new_kind: str
    new_within: str
    kinds: tuple[tuple[str, str], ...]
    around: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AdoptionView:
    """``heard`` is when the sender was last heard; ``interval_why`` what the interval rests on."""

    device: str
    topic: str
    heard: str
    measures: tuple[MeasureRow, ...]
    quantities: tuple[tuple[str, str], ...]
    places: Places
    name: str
    interval: str
    interval_why: str


def adoption_view(
    device: str,
    strangers: Sequence[Stranger],
    settings: Settings,
    *,
    heard_every: timedelta | None,
    form: Mapping[str, str],
    now: datetime,
) -> AdoptionView:
    """What is asked of a sender; ``form`` is what was typed already, empty at first."""
    ours = [one for one in strangers if one.device == device]
    newest = max(ours, key=lambda one: one.at, default=None)
    interval, why = interval_suggested(heard_every)
    return AdoptionView(
        device=device,
        topic=newest.topic if newest else "",
        heard=ago(newest.at, now) if newest else "not heard any more",
        measures=tuple(measure_row(one, form) for one in sorted(ours, key=lambda o: o.measure)),
        quantities=tuple((one.value, quantity_words(one)) for one in Quantity),
        places=places_to_choose(settings, form),
        name=form.get("name", device),
        interval=form.get("interval", interval),
        interval_why=why,
    )


def ago(at: datetime, now: datetime) -> str:
    """``heard 12 s ago``."""
    return f"heard {age(max(0.0, (now - at).total_seconds()))} ago"


def said_by(one: Stranger) -> str:
    """``temperature 16.4°`` where it is understood, else as it was sent."""
    own = own_quantity(one.measure)
    if own is not None:
        try:
            return f"{quantity_words(own)} {value_in_words(convert(one.value, one.unit, own), own)}"
        except UnitError:
            pass
    return f"{one.measure} {one.value:g} {unit_words(one.unit)}".strip()


def own_quantity(measure: str) -> Quantity | None:
    """The quantity that bears this very name."""
    return next((one for one in Quantity if one.value == measure), None)


def measure_row(one: Stranger, form: Mapping[str, str]) -> MeasureRow:
    """What is suggested for one measure, or what was chosen."""
    own = own_quantity(one.measure)
    trouble = ""
    suggested, why = "", ""
    if own is not None:
        try:
            convert(one.value, one.unit, own)
        except UnitError as error:
            trouble = f"Not read as it comes: {error}."
    else:
        beside = one.unit
        meaning = meaning_of((one.measure,), one.value, beside)
        if meaning is not None and _fits(one, meaning.quantity):
            suggested, why = meaning.quantity.value, meaning.why
        elif one.unit is None:
            trouble = "It comes without a unit."
    return MeasureRow(
        measure=one.measure,
        said=said_by(one),
        asks=own is None,
        chosen=form.get(f"measure.{one.measure}", suggested),
        why=why,
        trouble=trouble,
    )


def _fits(one: Stranger, quantity: Quantity) -> bool:
    try:
        convert(one.value, one.unit, quantity)
    except UnitError:
        return False
    return True


def places_to_choose(
    settings: Settings, form: Mapping[str, str], *, chosen: str | None = None
) -> Places:
    """The shed first, then in walking order. The shed is chosen while nothing stands there."""
    sheds = [place for place in settings.places if place.kind is PlaceKind.SHED]
    others = [
        place for place in settings.places if place.kind not in {PlaceKind.SHED, PlaceKind.JAR}
    ]
    standing: dict[str, list[str]] = {}
    for sensor in settings.sensors:
        standing.setdefault(sensor.place, []).append(sensor.name or sensor.device)
    if chosen is None and sheds and sheds[0].id not in standing:
        chosen = sheds[0].id
    told = form.get("place", chosen or "")
    inner = (PlaceKind.SHED, PlaceKind.FLIGHT, PlaceKind.CAGE)
    return Places(
        choices=tuple(
            PlaceChoice(
                id=place.id,
                name=place.name,
                stands=", ".join(standing.get(place.id, ())),
                chosen=place.id == told,
            )
            for place in (*sheds, *others)
        ),
        is_new=told == NEW_PLACE,
        new_name=form.get("new_name", ""),
        new_kind=form.get("new_kind", PlaceKind.BOX.value),
        new_within=form.get("new_within", sheds[0].id if sheds else ""),
        kinds=tuple((kind.value, kind.value) for kind in _NEW_KINDS),
        around=tuple((one.id, one.name) for one in settings.places if one.kind in inner),
    )


def interval_suggested(heard_every: timedelta | None) -> tuple[str, str]:
    """How often a sender speaks, as a text for the form, and what that rests on."""
    if heard_every is None:
        told = interval_in_words(USUAL_INTERVAL)
        return told, "the usual; it was not heard often enough to tell"
    told = interval_in_words(rounded_up(heard_every))
    return told, "as it was heard"


def rounded_up(interval: timedelta) -> timedelta:
    """To a length that people say; hardly shorter, so that nobody is called late too soon."""
    seconds = interval.total_seconds()
    step = 1 if seconds <= 10 else 5 if seconds <= 90 else 60 if seconds <= 5400 else 3600
    # Messages that come a little late are no reason for the next step.
    steps = max(1, math.ceil(seconds / step - 0.2))
    return min(timedelta(days=7), timedelta(seconds=steps * step))


def interval_in_words(interval: timedelta) -> str:
    """``60 s``, ``10 min``, ``2 h``: as it is written in the settings, too."""
    seconds = interval.total_seconds()
    for unit, length in (("d", 86400), ("h", 3600), ("min", 60)):
        if seconds >= 2 * length and seconds % length == 0:
            return f"{seconds / length:.0f} {unit}"
    return f"{seconds:g} s"


def read_interval(text: str) -> str:
    """An interval as it is written in the settings.

    Raises:
        ConfigurationError: it is none; in words.
    """
    found = _DURATION.fullmatch(text.strip().lower())
    if found is None:
        shown = text.strip()[:30] or "nothing"
        raise ConfigurationError(
            [f"Sends every: {shown} is no time; allowed: a number and s, min, h or d, as 60 s."]
        )
    return f"{found[1].replace(',', '.')} {found[2]}"


def read_place(form: Mapping[str, str], settings: Settings) -> tuple[str, Edit | None]:
    """The place that was tapped, and what makes it where it is a new one.

    Raises:
        ConfigurationError: none was, or the new one has no name; in words.
    """
    told = form.get("place", "")
    known = {place.id for place in settings.places if place.kind is not PlaceKind.JAR}
    if told in known:
        return told, None
    if told != NEW_PLACE:
        raise ConfigurationError(["Where it stands: tap one of the places."])
    name = form.get("new_name", "").strip()
    faults = name_faults(name, "The new place")
    kind = next((one for one in _NEW_KINDS if one.value == form.get("new_kind")), None)
    if kind is None:
        faults = (*faults, "The new place: choose what it is.")
    within = form.get("new_within", "")
    if within not in known:
        faults = (*faults, "The new place: choose what it stands in.")
    if faults or kind is None:
        raise ConfigurationError(faults)
    made = new_id(kind, known)
    outdoors = kind is PlaceKind.OUTDOORS
    return made, edits.place(made, kind=kind, name=name, within=None if outdoors else within)


def read_name(form: Mapping[str, str], device: str) -> str | None:
    """What people call the sensor; None where that is its own name.

    Raises:
        ConfigurationError: it can't be a name; in words.
    """
    name = form.get("name", "").strip()
    if not name or name == device:
        return None
    faults = name_faults(name, "Name")
    if faults:
        raise ConfigurationError(faults)
    return name


def read_measures(form: Mapping[str, str], measures: Sequence[str]) -> dict[str, Quantity]:
    """What each of the sender's own words means; left out where nothing was chosen.

    Raises:
        ConfigurationError: two of them would be the same quantity; in words.
    """
    found: dict[str, Quantity] = {}
    for measure in measures:
        told = form.get(f"measure.{measure}", "")
        quantity = own_quantity(told)
        if quantity is None:
            continue
        if quantity in found.values():
            raise ConfigurationError(
                [f"{quantity_words(quantity)}: chosen twice; leave all but one of them out."]
            )
        found[measure] = quantity
    return found


def adoption_edit(
    device: str, form: Mapping[str, str], measures: Sequence[str], settings: Settings
) -> Edit:
    """All that the answers set, as one edit.

    Args:
        device: the sender.
        form: the answers.
        measures: what the sender tells under names that are no quantity's own.
        settings: as they are now.

    Raises:
        ConfigurationError: an answer can't be taken; all faults, in words.
    """
    faults: list[str] = []
    place, new_place, name, interval = "", None, None, ""
    chosen: dict[str, Quantity] = {}
    try:
        place, new_place = read_place(form, settings)
    except ConfigurationError as error:
        faults += error.faults
    try:
        name = read_name(form, device)
    except ConfigurationError as error:
        faults += error.faults
    try:
        interval = read_interval(form.get("interval", ""))
    except ConfigurationError as error:
        faults += error.faults
    try:
        chosen = read_measures(form, measures)
    except ConfigurationError as error:
        faults += error.faults
    if faults:
        raise ConfigurationError(faults)
    adopted = _once(
        device,
        edits.adopt(
            device=device, place=place, interval=interval, name=name, measures=chosen or None
        ),
    )
    return adopted if new_place is None else both(new_place, adopted)


def _once(device: str, edit: Edit) -> Edit:
    """Refused where somebody else gave the sender a place meanwhile: it would be moved."""

    def apply(document: Document) -> Document:
        adopted = edit.apply(document)
        there = value_at(document, ("sensor", device))
        if isinstance(there, Mapping) and there != value_at(adopted, ("sensor", device)):
            raise InputError(
                f"{device} was set up meanwhile, at {there.get('place')}: change it on its own page"
            )
        return adopted

    return replace(edit, apply=apply)
