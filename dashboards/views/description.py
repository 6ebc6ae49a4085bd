"""Describing a message of an unknown kind: the keeper taps the value that is the temperature.

What a message holds and may mean is suggested (devices/formats/json_leaves.py); what would be
read of it is shown before anything is kept, by the very decoder that will read it. Pure.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from dashboards.views.adoption import own_quantity
from dashboards.views.alarm_words import value_in_words
from dashboards.views.quantity_words import (
    QuantityChoice,
    choice_of,
    quantity_choices,
    quantity_words,
    read_choice,
)
from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.formats.json_leaves import DeviceGuess, Leaf, MessageReading
from devices.formats.sender_name import name_fault
from devices.message import Message
from devices.reading import Measurement, Quantity, Reading
from devices.sensor import Feed, Field, Format
from devices.units import UnitError, convert
from service.errors import ConfigurationError
from service.intake.mqtt_topics import matches
from service.quality.flag import Flag
from service.quality.judge import judge
from service.settings.feed_agreement import ALWAYS_ON
from service.settings.settings import Settings

ARRIVAL = ""
OWN_NAME = "name"


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafRow:
    """One line of the message. ``asks``: a value that can be chosen; ``chosen`` is the line of
    the choice that is suggested, or was made; empty for "not used".
    """

    number: int
    pointer: str
    path: str
    shown: str
    asks: bool
    chosen: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceChoice:
    """Where the sender's name stands: ``level:2``, ``pointer:/id``."""

    value: str
    device: str
    where: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What would be read of the message with what is chosen now.

    ``device`` is empty where nothing tells it. ``measures`` are names that are no quantity's
    own (SenML only). ``faults`` are sentences.
    """

    device: str = ""
    values: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    measurements: tuple[Measurement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DescriptionView:
    """``stands``: why the topic can't be described here, in a sentence; empty where it can.

    ``replaces``: the feed whose description this one takes the place of.
    """

    topic: str
    format: Format | None
    fault: str
    stands: str
    replaces: str
    leaves: tuple[LeafRow, ...]
    left_out: int
    choices: tuple[QuantityChoice, ...]
    devices: tuple[DeviceChoice, ...]
    own_name: str
    own_chosen: bool
    filters: tuple[tuple[str, str, bool], ...]
    times: tuple[tuple[str, str, bool], ...]
    preview: Preview


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """What was chosen: the feed, as a table of the file and as the decoder takes it."""

    table: Mapping[str, object]
    feed: Feed


def covering_feed(topic: str, settings: Settings) -> Feed | None:
    """The feed that the messages under a topic go to now."""
    return next((feed for feed in settings.feeds if matches(feed.topic, topic)), None)


def why_not_here(topic: str, settings: Settings) -> str:
    """Why nothing can be described on a page; empty where it can."""
    covering = covering_feed(topic, settings)
    if covering is None:
        return ""
    if covering.topic == ALWAYS_ON:
        return (
            f"Under {ALWAYS_ON} SenML is read and nothing else. Let the sender use another topic, "
            "and describe that one."
        )
    if ("feed", covering.topic) in settings.fixed:
        return f"The messages under {covering.topic} are described in the file; change it there."
    return ""


def description_view(
    told: MessageReading,
    payload: bytes,
    settings: Settings,
    *,
    heard_like_it: bool,
    form: Mapping[str, str],
    now: datetime,
) -> DescriptionView:
    """What is asked about one message.

    Args:
        told: the message taken apart.
        payload: its bytes.
        settings: as they are now.
        heard_like_it: other topics differ from this one in one level alone.
        form: what was chosen already; empty at first, and then the suggestions hold.
        now: for a message without a time.
    """
    covering = covering_feed(told.topic, settings)
    filters = _filters(told, covering, form, heard_like_it=heard_like_it)
    devices = _devices(told, form)
    own = form.get("device") == OWN_NAME or not devices
    view = DescriptionView(
        topic=told.topic,
        format=told.format,
        fault=told.fault,
        stands=why_not_here(told.topic, settings),
        replaces="" if covering is None else covering.topic,
        leaves=tuple(_leaf(n, leaf, told, form) for n, leaf in enumerate(told.leaves)),
        left_out=told.left_out,
        choices=quantity_choices(),
        devices=devices,
        own_name=form.get("own_name", ""),
        own_chosen=own,
        filters=filters,
        times=_times(told, form),
        preview=Preview(),
    )
    if told.format is None:
        return view
    try:
        found = described(told, as_chosen(view, form), settings)
    except ConfigurationError as error:
        return replace(view, preview=Preview(faults=error.faults))
    return replace(view, preview=preview(found, told, payload, now))


def as_chosen(view: DescriptionView, form: Mapping[str, str]) -> dict[str, str]:
    """The form as a browser would send it: what is chosen on the page."""
    told = {f"leaf.{row.number}": row.chosen for row in view.leaves if row.asks}
    told["device"] = next(
        (one.value for one in view.devices if one.chosen), OWN_NAME if view.own_chosen else ""
    )
    told["own_name"] = view.own_name
    told["filter"] = next((value for value, _, chosen in view.filters if chosen), view.topic)
    told["time"] = next((value for value, _, chosen in view.times if chosen), ARRIVAL)
    return {**told, **form}


def _leaf(number: int, leaf: Leaf, told: MessageReading, form: Mapping[str, str]) -> LeafRow:
    senml = told.format is Format.SENML
    own = senml and own_quantity(leaf.pointer) is not None
    suggested = choice_of(leaf.quantity, leaf.unit)
    return LeafRow(
        number=number,
        pointer=leaf.pointer,
        path=_path(leaf.pointer) or "the whole message",
        shown=leaf.shown,
        asks=leaf.kind.is_value and not own,
        chosen=form.get(f"leaf.{number}", suggested),
        why=leaf.why,
    )


def _path(pointer: str) -> str:
    """``outside > temp`` for ``/outside/temp``."""
    parts = pointer.split("/")[1:] if pointer.startswith("/") else [pointer]
    return " > ".join(part.replace("~1", "/").replace("~0", "~") for part in parts)


def _devices(told: MessageReading, form: Mapping[str, str]) -> tuple[DeviceChoice, ...]:
    found = [
        DeviceChoice(
            value=_device_value(guess),
            device=guess.device,
            where=_where(guess),
            chosen=False,
        )
        for guess in told.devices
    ]
    wanted = form.get("device", found[0].value if found else "")
    return tuple(
        DeviceChoice(
            value=one.value, device=one.device, where=one.where, chosen=one.value == wanted
        )
        for one in found
    )


def _device_value(guess: DeviceGuess) -> str:
    if guess.level is not None:
        return f"level:{guess.level}"
    return "senml:" if guess.pointer is None else f"pointer:{guess.pointer}"


def _where(guess: DeviceGuess) -> str:
    if guess.level is not None:
        return f"from the topic; {guess.why}"
    return f"from the message; {guess.why}"


def _filters(
    told: MessageReading, covering: Feed | None, form: Mapping[str, str], *, heard_like_it: bool
) -> tuple[tuple[str, str, bool], ...]:
    """That topic alone, or all that are like it but for the level that names the sender."""
    if covering is not None:
        return ((covering.topic, f"all under {covering.topic}", True),)
    alike = next((one.topic for one in told.devices if one.level is not None), None)
    suggested = alike if alike is not None and heard_like_it else told.topic
    wanted = form.get("filter", suggested)
    found = [(told.topic, "this topic alone")]
    if alike is not None:
        found.insert(0, (alike, f"all that are like it: {alike}"))
    return tuple((value, words, value == wanted) for value, words in found)


def _times(told: MessageReading, form: Mapping[str, str]) -> tuple[tuple[str, str, bool], ...]:
    pointers = told.time_pointers
    wanted = form.get("time", pointers[0] if pointers else ARRIVAL)
    found = [*((one, f"the time at {_path(one)}") for one in pointers), (ARRIVAL, "when it comes")]
    return tuple((value, words, value == wanted) for value, words in found)


def described(told: MessageReading, form: Mapping[str, str], settings: Settings) -> Described:
    """The feed that was described.

    Raises:
        ConfigurationError: something is missing, or fits nothing; all of it, in words.
    """
    faults: list[str] = []
    topic = form.get("filter", "") or told.topic
    covering = covering_feed(told.topic, settings)
    if covering is not None and topic != covering.topic:
        faults.append(f"These messages go to {covering.topic} already; that one is described.")
    elif not matches(topic, told.topic):
        faults.append(f"{topic} does not cover {told.topic}.")
    fields = _fields(told, form, faults)
    device = _device(told, form, faults)
    if "name" in device and {"+", "#"}.intersection(topic.split("/")):
        faults.append("A name of your own is for one sensor: choose this topic alone.")
    time = form.get("time", ARRIVAL)
    if time and time not in told.time_pointers:
        faults.append(f"No time stands at {time}.")
    if faults:
        raise ConfigurationError(faults)
    if told.format is Format.SENML:
        return Described(
            table={"topic": topic, "format": "senml"},
            feed=Feed(topic=topic, format=Format.SENML),
        )
    if told.format is Format.NUMBER:
        return _number_feed(topic, fields[0], device)
    return _json_feed(topic, fields, device, time)


def _fields(told: MessageReading, form: Mapping[str, str], faults: list[str]) -> tuple[Field, ...]:
    found: list[Field] = []
    for number, leaf in enumerate(told.leaves):
        chosen = read_choice(form.get(f"leaf.{number}", ""))
        if chosen is None or not leaf.kind.is_value:
            continue
        quantity, unit = chosen
        if any(one.quantity is quantity for one in found):
            faults.append(f"{quantity_words(quantity)}: chosen twice; one message has one of each.")
        found.append(Field(pointer=leaf.pointer, quantity=quantity, unit=unit))
    if not found and told.format is not Format.SENML:
        faults.append("No value is chosen: tap at least one, and say what it is.")
    return tuple(found)


def _device(
    told: MessageReading, form: Mapping[str, str], faults: list[str]
) -> Mapping[str, int | str]:
    choice = form.get("device", "")
    if told.format is Format.SENML:
        return {}
    for guess in told.devices:
        if choice == _device_value(guess):
            if guess.level is not None:
                return {"level": guess.level}
            return {"pointer": guess.pointer or ""}
    if choice == OWN_NAME:
        name = form.get("own_name", "").strip()
        fault = name_fault(name)
        if fault is None:
            return {"name": name}
        faults.append(f"The sender's name: {fault}." if name else "The sender's name is missing.")
        return {}
    faults.append("Which sender it is: choose where its name stands.")
    return {}


def _number_feed(topic: str, chosen: Field, device: Mapping[str, int | str]) -> Described:
    level, name = device.get("level"), device.get("name")
    return Described(
        table={
            "topic": topic,
            "format": "number",
            "device": dict(device),
            "quantity": chosen.quantity.value,
            "unit": chosen.unit,
        },
        feed=Feed(
            topic=topic,
            format=Format.NUMBER,
            device_level=level if isinstance(level, int) else None,
            device_name=str(name) if name else None,
            quantity=chosen.quantity,
            unit=chosen.unit,
        ),
    )


def _json_feed(
    topic: str, fields: tuple[Field, ...], device: Mapping[str, int | str], time: str
) -> Described:
    level, name, pointer = device.get("level"), device.get("name"), device.get("pointer")
    table: dict[str, object] = {
        "topic": topic,
        "format": "json",
        "device": dict(device),
        "fields": [
            {"pointer": one.pointer, "quantity": one.quantity.value, "unit": one.unit}
            for one in fields
        ],
    }
    if time:
        table["time"] = {"pointer": time}
    return Described(
        table=table,
        feed=Feed(
            topic=topic,
            format=Format.JSON,
            device_level=level if isinstance(level, int) else None,
            device_name=str(name) if name else None,
            device_pointer=None if pointer is None else str(pointer),
            fields=fields,
            time_pointer=time or None,
        ),
    )


def preview(found: Described, told: MessageReading, payload: bytes, now: datetime) -> Preview:
    """What the decoder reads with that feed, in the units that are kept."""
    message = Message(topic=told.topic, payload=payload, received_at=now.astimezone(UTC))
    try:
        decoded = decode(found.feed, message)
    except DecodeError as error:
        return Preview(faults=(error.reason,))
    values: list[str] = []
    faults = list(decoded.faults)
    for one in decoded.measurements:
        quantity = own_quantity(one.measure)
        if quantity is None:
            values.append(f"{one.measure} {one.value:g} {one.unit or ''}".strip())
            continue
        try:
            values.append(_told(one, quantity, now))
        except (UnitError, ValueError) as error:
            faults.append(str(error))
    devices = sorted(decoded.devices)
    return Preview(
        device=devices[0] if devices else "",
        values=tuple(values),
        faults=tuple(faults),
        measurements=decoded.measurements,
    )


_DOUBT = {Flag.SUSPECT: ", which is doubtful", Flag.FAIL: ", which can't be: another unit?"}


def _told(one: Measurement, quantity: Quantity, now: datetime) -> str:
    value = convert(one.value, one.unit, quantity)
    at = now.astimezone(UTC)
    reading = Reading(
        device=one.device,
        place="",
        quantity=quantity,
        value=value,
        measured_at=at,
        received_at=at,
    )
    doubt = _DOUBT.get(judge(reading).flag, "")
    return f"{quantity_words(quantity)} {value_in_words(value, quantity)}{doubt}"


def beside(topic: str, others: Sequence[str]) -> bool:
    """Whether another topic differs from this one in one level alone."""
    levels = topic.split("/")
    for other in others:
        theirs = other.split("/")
        if len(theirs) == len(levels) and other != topic:
            differing = sum(a != b for a, b in zip(levels, theirs, strict=True))
            if differing == 1:
                return True
    return False
