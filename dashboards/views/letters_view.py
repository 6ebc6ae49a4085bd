"""Messages that could not be used, why, and how they may be read after all. Pure."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.description import covering_feed, why_not_here
from dashboards.views.local_words import moment
from dashboards.views.quantity_words import QuantityChoice, quantity_choices, read_choice
from dashboards.views.sensors_view import payload_in_words
from devices.formats.json_leaves import MessageReading
from devices.formats.sender_name import name_fault
from devices.sensor import Format
from service.errors import ConfigurationError
from service.settings.settings import Settings
from service.store.reading_store import DeadLetter

_MOST_LETTERS = 50
OWN_NAME = "name"


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterRow:
    """``payload`` is text for reading: what can't be shown is written as a code."""

    mark: str
    at: str
    topic: str
    reason: str
    count: int
    payload: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LettersView:
    """The newest; ``kept`` is how many there are. ``outcome`` tells of the last try."""

    letters: tuple[LetterRow, ...]
    kept: int
    dropped: int
    outcome: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterView:
    """One letter. ``as_json``, ``as_number``, ``as_senml``: what it may be tried as; ``stands``
    why nothing can be described for its topic here.
    """

    row: LetterRow
    stands: str
    described_as: str
    as_json: bool
    as_senml: bool
    as_number: bool
    choices: tuple[QuantityChoice, ...]
    chosen: str
    levels: tuple[tuple[int, str, bool], ...]
    own_name: str


def letters_view(
    letters: Sequence[DeadLetter],
    *,
    mark: Callable[[DeadLetter], str],
    dropped: int,
    outcome: str,
    now: datetime,
    zone: ZoneInfo,
) -> LettersView:
    """All of them, the newest first; each with its mark."""
    return LettersView(
        letters=tuple(letter_row(one, mark(one), now, zone) for one in letters[:_MOST_LETTERS]),
        kept=len(letters),
        dropped=dropped,
        outcome=outcome,
    )


def letter_row(
    one: DeadLetter, mark: str, now: datetime, zone: ZoneInfo, most: int = 160
) -> LetterRow:
    """One letter in words."""
    return LetterRow(
        mark=mark,
        at=moment(one.at, now, zone),
        topic=one.topic,
        reason=one.reason,
        count=one.count,
        payload=payload_in_words(one.payload, most),
    )


def letter_view(
    letter: DeadLetter,
    mark: str,
    told: MessageReading,
    settings: Settings,
    *,
    form: Mapping[str, str],
    now: datetime,
) -> LetterView:
    """What may be tried with one letter; ``told`` is its message taken apart."""
    covering = covering_feed(letter.topic, settings)
    suggested = told.leaves[0] if told.format is Format.NUMBER and told.leaves else None
    pick = form.get("value", "")
    if suggested is not None and not pick:
        from_leaf = (suggested.quantity, suggested.unit)
        pick = f"{from_leaf[0]}|{from_leaf[1]}" if from_leaf[0] else ""
    wanted = form.get("device", "")
    best = next((one.level for one in told.devices if one.level is not None), None)
    return LetterView(
        row=letter_row(letter, mark, now, settings.site.timezone, 2000),
        stands=why_not_here(letter.topic, settings),
        described_as="" if covering is None else f"{covering.topic}, as {covering.format}",
        as_json=told.format is Format.JSON,
        as_senml=told.format is Format.SENML
        and (covering is None or covering.format is not Format.SENML),
        as_number=told.format is Format.NUMBER,
        choices=quantity_choices(),
        chosen=pick,
        levels=tuple(
            (n, level, wanted == f"level:{n}" or (not wanted and n == best))
            for n, level in enumerate(letter.topic.split("/"), start=1)
            if name_fault(level) is None
        ),
        own_name=form.get("own_name", ""),
    )


def feed_again(
    letter: DeadLetter, form: Mapping[str, str], settings: Settings
) -> Mapping[str, object] | None:
    """The feed to describe before a letter is read again; None where all stays as it is.

    Raises:
        ConfigurationError: an answer can't be taken; in words.
    """
    covering = covering_feed(letter.topic, settings)
    topic = letter.topic if covering is None else covering.topic
    match form.get("as", ""):
        case "it is":
            return None
        case "senml":
            return {"topic": topic, "format": "senml"}
        case "number":
            return _number(topic, form)
        case _:
            raise ConfigurationError(["Choose what it is to be read as."])


def _number(topic: str, form: Mapping[str, str]) -> Mapping[str, object]:
    faults = []
    chosen = read_choice(form.get("value", ""))
    if chosen is None:
        faults.append("Choose what the number is.")
    device: dict[str, object] = {}
    told = form.get("device", "")
    if told == OWN_NAME:
        name = form.get("own_name", "").strip()
        fault = name_fault(name)
        if fault is not None:
            faults.append(f"The sender's name: {fault}.")
        device = {"name": name}
    elif told.startswith("level:") and told.removeprefix("level:").isascii():
        level = told.removeprefix("level:")
        if level.isdigit() and len(level) <= 3:
            device = {"level": int(level)}
    if not device:
        faults.append("Choose who sends it.")
    if faults or chosen is None:
        raise ConfigurationError(faults)
    quantity, unit = chosen
    table = {"topic": topic, "format": "number", "device": device, "quantity": quantity.value}
    return {**table, "unit": unit}
