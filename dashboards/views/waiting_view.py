"""Waiting for the first sensor: what to type into it, who is heard, and the first value. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import age
from dashboards.views.sensors_view import guesses
from devices.reading import Quantity
from service.answers.latest import is_stale
from service.answers.telling import age_s
from service.intake.broker_standing import BrokerStanding
from service.settings.settings import Settings
from service.store.reading_store import Latest, Overheard, Stranger

EXAMPLE = (
    '[{"bn":"th-shed:","n":"temperature","u":"Cel","v":18.4},'
    '{"n":"relative_humidity","u":"%RH","v":61}]'
)
_MOST_SHOWN = 12
_UNIT_SIGNS = {"Cel": "°C", "%RH": "%", "%EL": "%"}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardRow:
    """A sender without a place, or a topic that nobody has described."""

    name: str
    said: str
    age: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstValue:
    """A value of a sensor that has a place. ``stale``: too old to be the present."""

    place: str
    quantity: str
    value: str
    age: str
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Where a device in the house finds the broker: ``hosts`` are its addresses, the likeliest
    first; none where only this machine can reach it. A port is None where there is none.
    """

    hosts: tuple[str, ...]
    port: int | None
    tls_port: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingView:
    """``broker`` says how it stands with the broker; ``well`` whether that is good news.
    ``accounts``: each device gets its own name and password on a page of ours.
    """

    value: FirstValue | None
    senders: tuple[HeardRow, ...]
    topics: tuple[HeardRow, ...]
    more: int
    reach: Reach
    accounts: bool
    broker: str
    well: bool
    example: str


def waiting_view(
    settings: Settings,
    *,
    newest: Sequence[Latest],
    strangers: Sequence[Stranger],
    overheard: Sequence[Overheard],
    standing: BrokerStanding | None,
    own_addresses: Sequence[str],
    accounts: bool,
    broker: str | None,
    well: bool,
    now: datetime,
) -> WaitingView:
    """``broker`` is what watch tells of the broker; None where it shows no sign of life."""
    senders = _senders(strangers, settings, now)
    topics = tuple(
        HeardRow(name=one.topic, said=_may_be(one), age=_age(one.at, now)) for one in overheard
    )
    shown = min(len(senders), _MOST_SHOWN) + min(len(topics), _MOST_SHOWN)
    return WaitingView(
        value=first_value(settings, newest, now),
        senders=senders[:_MOST_SHOWN],
        topics=topics[:_MOST_SHOWN],
        more=len(senders) + len(topics) - shown,
        reach=reach(settings, standing, own_addresses),
        accounts=accounts,
        broker=broker or "the watch over the shed shows no sign of life",
        well=well,
        example=EXAMPLE,
    )


def reach(
    settings: Settings, standing: BrokerStanding | None, own_addresses: Sequence[str]
) -> Reach:
    """What a sensor in the house must be told of the broker.

    Of one that the keeper named on this machine nobody knows where it listens; this machine's
    addresses are the likeliest.
    """
    broker = settings.broker
    if settings.broker_told:
        hosts = tuple(own_addresses) if _is_this_machine(broker.host) else (broker.host,)
        port, tls_port = (None, broker.port) if broker.tls else (broker.port, None)
        return Reach(hosts=hosts, port=port, tls_port=tls_port)
    if standing is None or not standing.reached_at:
        return Reach(hosts=(), port=broker.port, tls_port=None)
    return Reach(hosts=standing.reached_at, port=standing.device_port, tls_port=standing.tls_port)


def _is_this_machine(host: str) -> bool:
    return host in {"localhost", "::1"} or host.startswith("127.")


def _senders(
    strangers: Sequence[Stranger], settings: Settings, now: datetime
) -> tuple[HeardRow, ...]:
    """One row a sender, with what it measures; a sender that is set up needs no place."""
    known = {sensor.device for sensor in settings.sensors} | settings.ignored
    said: dict[str, list[str]] = {}
    heard_at: dict[str, datetime] = {}
    for one in strangers:
        if one.device in known:
            continue
        unit = _UNIT_SIGNS.get(one.unit or "", one.unit or "")
        said.setdefault(one.device, []).append(f"{one.measure} {one.value:g} {unit}".strip())
        heard_at[one.device] = max(one.at, heard_at.get(one.device, one.at))
    return tuple(
        HeardRow(name=device, said=", ".join(values), age=_age(heard_at[device], now))
        for device, values in said.items()
    )


def first_value(settings: Settings, newest: Sequence[Latest], now: datetime) -> FirstValue | None:
    """The temperature of a sensor that has a place, else its newest value; None before one."""
    placed = {sensor.device: sensor.overdue_after for sensor in settings.sensors}
    names = {place.id: place.name for place in settings.places}
    ours = [one for one in newest if one.series.device in placed]
    if not ours:
        return None
    best = max(ours, key=lambda one: (one.series.quantity is Quantity.TEMPERATURE, one.received_at))
    seconds = age_s(best.measured_at, now)
    return FirstValue(
        place=names.get(best.series.place, best.series.place),
        quantity=best.series.quantity.value.replace("_", " "),
        value=value_in_words(best.value, best.series.quantity),
        age="age not known" if seconds is None else f"{age(seconds)} old",
        stale=is_stale(best, placed, now),
    )


def _may_be(one: Overheard) -> str:
    """``maybe temperature 16.4 °C``; where nothing is suggested, why it could not be read."""
    values = guesses(one)
    return f"maybe {', '.join(values)}" if values else one.reason


def _age(at: datetime, now: datetime) -> str:
    return f"{age(max(0.0, (now - at).total_seconds()))} ago"
