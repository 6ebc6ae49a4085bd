"""One sensor: how it is, and what may be changed of it. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboards.views.adoption import (
    MeasureRow,
    PlaceChoice,
    Places,
    interval_in_words,
    measure_row,
    places_to_choose,
    read_interval,
    read_measures,
    read_name,
    read_place,
    rounded_up,
)
from dashboards.views.quantity_words import quantity_words
from dashboards.views.sensors_view import SensorRow, new_senders
from devices.reading import Quantity
from devices.sensor import OVERDUE_INTERVALS, Sensor
from service.errors import ConfigurationError
from service.settings import edits
from service.settings.away import JAR
from service.settings.editing import Edit, both
from service.settings.settings import Settings
from service.store.reading_store import Stranger


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorFormView:
    """``row`` tells how it is; ``in_jar``: it is in a salt jar, and stays as it is set up until it
    is out. ``heard_every`` is what was measured, where that is far from
    what is set; ``set_up``: it has just got its place.
    """

    device: str
    row: SensorRow
    place: str
    places: Places
    name: str
    interval: str
    heard_every: str
    measures: tuple[MeasureRow, ...]
    explained: tuple[tuple[str, str], ...]
    quantities: tuple[tuple[str, str], ...]
    set_up: bool
    in_jar: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplaceView:
    """``old`` gives its place away; ``news`` may take it, each with what it tells and when it
    was heard. ``olds`` are the sensors that may be replaced, where the new one came first.
    """

    old: str
    new: str
    news: tuple[tuple[str, str, bool], ...]
    olds: tuple[PlaceChoice, ...]


def sensor_form_view(
    sensor: Sensor,
    row: SensorRow,
    settings: Settings,
    strangers: Sequence[Stranger],
    *,
    heard_every: timedelta | None,
    form: Mapping[str, str],
    set_up: bool,
) -> SensorFormView:
    """What stands in the form: what is set, or what was typed."""
    names = {place.id: place.name for place in settings.places}
    unknown = [one for one in strangers if one.device == sensor.device]
    return SensorFormView(
        device=sensor.device,
        row=row,
        place=names.get(sensor.place, sensor.place),
        places=places_to_choose(settings, form, chosen=sensor.place),
        name=form.get("name", sensor.name or sensor.device),
        interval=form.get("interval", interval_in_words(sensor.interval)),
        heard_every=_far_from_what_is_set(sensor, heard_every),
        measures=tuple(measure_row(one, form) for one in unknown),
        explained=tuple(
            (measure, quantity_words(quantity)) for measure, quantity in sensor.measures.items()
        ),
        quantities=tuple((one.value, quantity_words(one)) for one in Quantity),
        set_up=set_up,
        in_jar=sensor.place == JAR.id,
    )


def _far_from_what_is_set(sensor: Sensor, heard_every: timedelta | None) -> str:
    """What the interval had better be; empty where it is near enough."""
    if heard_every is None:
        return ""
    if sensor.interval / 2 <= heard_every <= sensor.interval * 1.5:
        return ""
    return interval_in_words(rounded_up(heard_every))


def change_edit(
    sensor: Sensor, form: Mapping[str, str], strangers: Sequence[Stranger], settings: Settings
) -> Edit:
    """What was changed of a sensor, as one edit. A measure once explained stays so.

    Raises:
        ConfigurationError: an answer can't be taken; in words.
    """
    faults: list[str] = []
    place, new_place = sensor.place, None
    name: str | None = None
    interval = ""
    chosen: dict[str, Quantity] = {}
    try:
        place, new_place = read_place(form, settings)
    except ConfigurationError as error:
        faults += error.faults
    try:
        name = read_name(form, sensor.device)
        interval = read_interval(form.get("interval", ""))
        unknown = [one.measure for one in strangers if one.device == sensor.device]
        kept = {f"measure.{one}": quantity.value for one, quantity in sensor.measures.items()}
        asked = dict.fromkeys((*sensor.measures, *unknown))
        chosen = read_measures({**kept, **form}, tuple(asked))
    except ConfigurationError as error:
        faults += error.faults
    if faults:
        raise ConfigurationError(faults)
    changed = edits.change_sensor(
        sensor.device,
        place=place,
        name=name,
        interval=interval,
        overdue_after=_overdue(sensor),
        measures=chosen or None,
    )
    return changed if new_place is None else both(new_place, changed)


def _overdue(sensor: Sensor) -> edits.Keep | None:
    """What was set apart from the interval stays; where it followed the interval it follows."""
    followed = sensor.overdue_after == OVERDUE_INTERVALS * sensor.interval
    return None if followed else edits.KEEP


def replace_view(
    settings: Settings, strangers: Sequence[Stranger], *, old: str, new: str, now: datetime
) -> ReplaceView:
    """Whom to replace by whom."""
    names = {place.id: place.name for place in settings.places}
    found = new_senders(strangers, settings, now)
    return ReplaceView(
        old=old,
        new=new,
        news=tuple(
            (one.device, f"{', '.join(one.said)}, {one.heard}", one.device == new) for one in found
        ),
        olds=tuple(
            PlaceChoice(
                id=sensor.device,
                name=sensor.name or sensor.device,
                stands=names.get(sensor.place, sensor.place),
                chosen=sensor.device == old,
            )
            for sensor in settings.sensors
            if ("sensor", sensor.device) not in settings.fixed
        ),
    )
