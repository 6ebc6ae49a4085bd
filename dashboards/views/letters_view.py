"""Messages that could not be used, why, and how they may be read after all. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.description import covering_feed, why_not_here
from dashboards.views.local_words import moment
from dashboards.views.sensors_view import payload_in_words
from devices.formats.json_leaves import MessageReading
from devices.sensor import Format
from service.settings.settings import Settings
from service.store.reading_store import DeadLetter

MOST_SHOWN = 50


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
    """One letter. ``may_be`` says what it may be described as, empty for nothing; ``why_not``
    is then why. ``described_as``: the feed that its topic goes to now.
    """

    row: LetterRow
    described_as: str
    may_be: str
    why_not: str


def letters_view(
    letters: Sequence[DeadLetter],
    *,
    kept: int,
    mark: Callable[[DeadLetter], str],
    dropped: int,
    outcome: str,
    now: datetime,
    zone: ZoneInfo,
) -> LettersView:
    """The newest, each with its mark; ``kept`` is how many there are."""
    return LettersView(
        letters=tuple(letter_row(one, mark(one), now, zone) for one in letters),
        kept=kept,
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


_MAY_BE = {
    Format.JSON: "As JSON: tap which value is what",
    Format.SENML: "As SenML",
    Format.NUMBER: "As a plain number: say what it is",
}


def letter_view(
    letter: DeadLetter, mark: str, told: MessageReading, settings: Settings, now: datetime
) -> LetterView:
    """What may be tried with one letter; ``told`` is its message taken apart."""
    covering = covering_feed(letter.topic, settings)
    stands = why_not_here(letter.topic, settings)
    known = covering is not None and covering.format is Format.SENML is told.format
    return LetterView(
        row=letter_row(letter, mark, now, settings.site.timezone, 2000),
        described_as="" if covering is None else f"{covering.topic}, as {covering.format}",
        may_be="" if stands or known or told.format is None else _MAY_BE[told.format],
        why_not=stands or told.fault,
    )
