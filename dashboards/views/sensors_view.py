"""Who is talking, how well, who is new, and what could not be used. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.views.adoption import ago, interval_in_words, said_by
from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import age, moment
from dashboards.views.quantity_words import quantity_words, unit_words
from dashboards.views.shed_state import ShedState
from devices.formats.json_leaves import suggest
from devices.sensor import Sensor
from service.answers.latest import is_stale, not_followed_up
from service.answers.telling import age_s
from service.quality.flag import Flag
from service.settings.settings import Settings
from service.store.reading_store import (
    Gap,
    Heard,
    Latest,
    Overheard,
    Stranger,
)

_MOST_GAPS = 20
_MOST_TOPICS = 30
_MOST_GUESSED = 6
_FLAG_WORDS = {
    Flag.PASS: "good",
    Flag.NOT_EVALUATED: "not judged",
    Flag.SUSPECT: "doubtful",
    Flag.FAIL: "not believed",
    Flag.MISSING: "missing",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSender:
    """A sender that was understood and has no place. ``said`` are its values."""

    device: str
    said: tuple[str, ...]
    heard: str
    topic: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTopic:
    """Messages that nobody has described yet; ``said`` is the beginning of the newest, and
    ``guess`` what may be in it.
    """

    topic: str
    guess: tuple[str, ...]
    said: str
    reason: str
    heard: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRow:
    """The newest value of one quantity. ``stale``: too old to be the present; ``why`` says what
    is wrong with it, a sentence for each reason, empty where it is good.
    """

    quantity: str
    value: str
    age: str
    flag: str
    stale: bool
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorRow:
    """``standing`` is live, silent or waited for, in words; ``live`` the same as a claim.

    ``facts`` are further sentences about how well it talks. ``unknown`` are measures of it
    that nobody has explained; ``twins`` tells of two devices with its name.
    """

    device: str
    name: str
    standing: str
    live: bool
    values: tuple[ValueRow, ...]
    interval: str
    facts: tuple[str, ...]
    unknown: tuple[str, ...]
    twins: str
    in_file: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceGroup:
    """The sensors of one place, in walking order."""

    name: str
    sensors: tuple[SensorRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorsView:
    """``gone`` are series whose sensor is set up no more, each with when it was last heard.

    ``listening`` is for how much longer every topic is listened to, empty where it is not.
    """

    senders: tuple[NewSender, ...]
    topics: tuple[NewTopic, ...]
    more_topics: int
    places: tuple[PlaceGroup, ...]
    gone: tuple[tuple[str, str], ...]
    ignored: tuple[tuple[str, bool], ...]
    letters: int
    letters_dropped: int
    gaps: tuple[tuple[str, str], ...]
    broker: str
    listening: str


def sensors_view(
    *,
    settings: Settings,
    state: ShedState,
    newest: Sequence[Latest],
    heard: Sequence[Heard],
    strangers: Sequence[Stranger],
    overheard: Sequence[Overheard],
    letters: int,
    dropped: int,
    gaps: Sequence[Gap],
    twins: Mapping[str, str],
    facts: Mapping[str, Sequence[str]],
    broker: str,
    listening_s: float,
) -> SensorsView:
    """All of it at ``state.now``. ``facts`` are further sentences for each sensor."""
    now, zone = state.now, settings.site.timezone
    teller = SensorTeller(
        settings=settings,
        state=state,
        newest=newest,
        heard=heard,
        strangers=strangers,
        twins=twins,
        facts=facts,
    )
    return SensorsView(
        senders=new_senders(strangers, settings, now),
        topics=tuple(_new_topic(one, now) for one in overheard[:_MOST_TOPICS]),
        more_topics=max(0, len(overheard) - _MOST_TOPICS),
        places=_by_place(settings, teller),
        gone=_gone(settings, newest, now),
        ignored=tuple(
            (device, ("ignored", device) in settings.fixed) for device in sorted(settings.ignored)
        ),
        letters=letters,
        letters_dropped=dropped,
        gaps=tuple((moment(gap.at, now, zone), gap.reason) for gap in gaps[:_MOST_GAPS]),
        broker=broker,
        listening=f"{max(1, round(listening_s / 60))} min" if listening_s > 0 else "",
    )


def new_senders(
    strangers: Sequence[Stranger], settings: Settings, now: datetime
) -> tuple[NewSender, ...]:
    """Senders that are neither set up nor ignored, the one heard last first."""
    known = {sensor.device for sensor in settings.sensors} | settings.ignored
    found: dict[str, list[Stranger]] = {}
    for one in strangers:
        if one.device not in known:
            found.setdefault(one.device, []).append(one)
    newest_first = sorted(found.items(), key=lambda pair: max(o.at for o in pair[1]), reverse=True)
    return tuple(
        NewSender(
            device=device,
            said=tuple(said_by(one) for one in sorted(told, key=lambda one: one.measure)),
            heard=ago(max(one.at for one in told), now),
            topic=max(told, key=lambda one: one.at).topic,
        )
        for device, told in newest_first
    )


def _new_topic(one: Overheard, now: datetime) -> NewTopic:
    return NewTopic(
        topic=one.topic,
        guess=guesses(one),
        said=payload_in_words(one.payload, 100),
        reason=one.reason,
        heard=ago(one.at, now),
    )


def guesses(one: Overheard) -> tuple[str, ...]:
    """``temperature 16.4 °C``, as far as names and values suggest it."""
    return tuple(
        f"{quantity_words(leaf.quantity)} {leaf.shown} {unit_words(leaf.unit)}"
        for leaf in suggest(one.topic, one.payload).leaves
        if leaf.quantity is not None
    )[:_MOST_GUESSED]


def _by_place(settings: Settings, teller: "SensorTeller") -> tuple[PlaceGroup, ...]:
    groups = []
    for place in settings.places:
        here = tuple(teller.row(one) for one in settings.sensors if one.place == place.id)
        if here:
            groups.append(PlaceGroup(name=place.name, sensors=here))
    return tuple(groups)


def _gone(
    settings: Settings, newest: Sequence[Latest], now: datetime
) -> tuple[tuple[str, str], ...]:
    """Only where no other sensor has followed it up in its place."""
    set_up = {sensor.device for sensor in settings.sensors}
    last: dict[str, datetime] = {}
    for one in not_followed_up(newest, settings.sensors):
        device = one.series.device
        if device not in set_up:
            last[device] = max(one.received_at, last.get(device, one.received_at))
    zone = settings.site.timezone
    return tuple((device, moment(last[device], now, zone)) for device in sorted(last))


class SensorTeller:
    """Tells of one sensor after another."""

    def __init__(
        self,
        *,
        settings: Settings,
        state: ShedState,
        newest: Sequence[Latest],
        heard: Sequence[Heard],
        strangers: Sequence[Stranger],
        twins: Mapping[str, str],
        facts: Mapping[str, Sequence[str]],
    ) -> None:
        self._settings = settings
        self._now = state.now
        self._allowed = {sensor.device: sensor.overdue_after for sensor in settings.sensors}
        self._silent = {one.sensor.device: one for one in state.silent}
        self._heard = {one.device: one for one in heard if one.at.year > 1970}
        self._newest = newest
        self._strangers = strangers
        self._twins = twins
        self._facts = facts

    def row(self, sensor: Sensor) -> SensorRow:
        """One that is set up."""
        return SensorRow(
            device=sensor.device,
            name=sensor.name or sensor.device,
            standing=self._standing(sensor),
            live=sensor.device in self._heard and sensor.device not in self._silent,
            values=self._values(sensor),
            interval=interval_in_words(sensor.interval),
            facts=tuple(self._facts.get(sensor.device, ())),
            unknown=tuple(said_by(one) for one in self._strangers if one.device == sensor.device),
            twins=self._twins.get(sensor.device, ""),
            in_file=("sensor", sensor.device) in self._settings.fixed,
        )

    def _standing(self, sensor: Sensor) -> str:
        zone = self._settings.site.timezone
        silent = self._silent.get(sensor.device)
        if silent is not None:
            last = moment(silent.last, self._now, zone) if silent.last else "never"
            return f"silent, last heard {last}"
        heard = self._heard.get(sensor.device)
        if heard is None:
            return "not heard yet: waiting for its next message"
        return f"live, {ago(heard.at, self._now)}"

    def _values(self, sensor: Sensor) -> tuple[ValueRow, ...]:
        return tuple(
            ValueRow(
                quantity=quantity_words(one.series.quantity),
                value=value_in_words(one.value, one.series.quantity),
                age=age_in_words(one.measured_at, self._now),
                flag=_FLAG_WORDS[one.flag],
                stale=is_stale(one, self._allowed, self._now),
                why=sentences(one.reason),
            )
            for one in self._newest
            if (one.series.device, one.series.place) == (sensor.device, sensor.place)
        )


def sentences(reason: str) -> str:
    """``Perhaps stuck: … . Looks like °F: … .`` for the reasons of one reading."""
    return " ".join(f"{one[:1].upper()}{one[1:]}." for one in reason.split("; ") if one)


def payload_in_words(payload: bytes, most: int = 160) -> str:
    """The beginning of a payload as text; bytes that are no text are written as codes."""
    shown = payload[:most].decode("utf-8", errors="backslashreplace")
    told = "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in shown)
    return told + ("…" if len(payload) > most else "")


def age_in_words(measured_at: datetime, now: datetime) -> str:
    """``40 s old``; of a value that lies in the future nobody knows how old it is."""
    seconds = age_s(measured_at, now)
    return "age not known" if seconds is None else f"{age(seconds)} old"
