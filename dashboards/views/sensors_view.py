"""Who is talking, how well, who is new, and what could not be used."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import age, moment
from dashboards.views.shed_state import ShedState
from devices.sensor import Sensor
from service.answers.latest import is_stale
from service.answers.telling import age_s
from service.quality.flag import Flag
from service.settings.settings import Settings
from service.store.reading_store import DeadLetter, Gap, Heard, Latest, Stranger

_MOST_LETTERS = 50
_MOST_GAPS = 20
_FLAG_WORDS = {
    Flag.PASS: "good",
    Flag.NOT_EVALUATED: "not judged",
    Flag.SUSPECT: "doubtful",
    Flag.FAIL: "not believed",
    Flag.MISSING: "missing",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRow:
    """The newest value of one quantity. ``stale``: too old to be the present."""

    quantity: str
    value: str
    age: str
    flag: str
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorRow:
    """``standing`` is live, silent or waited for, in words; ``live`` the same as a claim."""

    device: str
    place: str
    standing: str
    live: bool
    values: tuple[ValueRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterRow:
    """``payload`` is text for reading: what can't be shown is written as a code."""

    at: str
    topic: str
    reason: str
    count: int
    payload: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StrangerRow:
    """An unknown sender or measure."""

    device: str
    measure: str
    topic: str
    value: str
    age: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorsView:
    """``gone`` are series whose sensor is set up no more."""

    sensors: tuple[SensorRow, ...]
    gone: tuple[SensorRow, ...]
    strangers: tuple[StrangerRow, ...]
    letters: tuple[LetterRow, ...]
    letters_kept: int
    letters_dropped: int
    gaps: tuple[tuple[str, str], ...]
    broker: str


def sensors_view(
    *,
    settings: Settings,
    state: ShedState,
    newest: Sequence[Latest],
    heard: Sequence[Heard],
    strangers: Sequence[Stranger],
    letters: Sequence[DeadLetter],
    dropped: int,
    gaps: Sequence[Gap],
    broker: str,
) -> SensorsView:
    """All of it at ``state.now``."""
    now, zone = state.now, settings.site.timezone
    teller = _Teller(settings, state, newest, heard)
    set_up = {sensor.device for sensor in settings.sensors}
    left = sorted({one.series.device for one in newest} - set_up)
    return SensorsView(
        sensors=tuple(teller.row(sensor) for sensor in settings.sensors),
        gone=tuple(teller.gone(device) for device in left),
        strangers=tuple(_stranger(one, now) for one in strangers),
        letters=tuple(
            LetterRow(
                at=moment(one.at, now, zone),
                topic=one.topic,
                reason=one.reason,
                count=one.count,
                payload=payload_in_words(one.payload),
            )
            for one in letters[:_MOST_LETTERS]
        ),
        letters_kept=len(letters),
        letters_dropped=dropped,
        gaps=tuple((moment(gap.at, now, zone), gap.reason) for gap in gaps[:_MOST_GAPS]),
        broker=broker,
    )


class _Teller:
    def __init__(
        self,
        settings: Settings,
        state: ShedState,
        newest: Sequence[Latest],
        heard: Sequence[Heard],
    ) -> None:
        self._zone = settings.site.timezone
        self._now = state.now
        self._names = {place.id: place.name for place in settings.places}
        self._allowed = {sensor.device: sensor.overdue_after for sensor in settings.sensors}
        self._silent = {one.sensor.device: one for one in state.silent}
        self._heard = {one.device: one for one in heard if one.at.year > 1970}
        self._newest = newest

    def row(self, sensor: Sensor) -> SensorRow:
        return SensorRow(
            device=sensor.device,
            place=self._names.get(sensor.place, sensor.place),
            standing=self._standing(sensor),
            live=sensor.device in self._heard and sensor.device not in self._silent,
            values=self._values(sensor.device),
        )

    def gone(self, device: str) -> SensorRow:
        return SensorRow(
            device=device,
            place="",
            standing="set up no more",
            live=False,
            values=self._values(device),
        )

    def _standing(self, sensor: Sensor) -> str:
        silent = self._silent.get(sensor.device)
        if silent is not None:
            last = moment(silent.last, self._now, self._zone) if silent.last else "never"
            return f"silent, last heard {last}"
        heard = self._heard.get(sensor.device)
        if heard is None:
            return "not heard yet"
        return f"live, heard {age((self._now - heard.at).total_seconds())} ago"

    def _values(self, device: str) -> tuple[ValueRow, ...]:
        return tuple(
            ValueRow(
                quantity=one.series.quantity.value.replace("_", " "),
                value=value_in_words(one.value, one.series.quantity),
                age=_age_in_words(one, self._now),
                flag=_FLAG_WORDS[one.flag] + (f": {one.reason}" if one.reason else ""),
                stale=is_stale(one, self._allowed, self._now),
            )
            for one in self._newest
            if one.series.device == device
        )


def _stranger(one: Stranger, now: datetime) -> StrangerRow:
    return StrangerRow(
        device=one.device,
        measure=one.measure,
        topic=one.topic,
        value=f"{one.value:g} {one.unit or ''}".strip(),
        age=age(max(0.0, (now - one.at).total_seconds())),
        count=one.count,
    )


def payload_in_words(payload: bytes) -> str:
    """The beginning of a payload as text; bytes that are no text are written as codes."""
    shown = payload[:160].decode("utf-8", errors="backslashreplace")
    told = "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in shown)
    return told + ("…" if len(payload) > 160 else "")


def _age_in_words(one: Latest, now: datetime) -> str:
    """``40 s old``; of a value that lies in the future nobody knows how old it is."""
    seconds = age_s(one.measured_at, now)
    return "age not known" if seconds is None else f"{age(seconds)} old"
