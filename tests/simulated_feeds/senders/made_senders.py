"""Senders for tests, and their messages read back as a service reads them."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any

from devices.formats.decode import decode
from devices.formats.decoded import Decoded
from devices.message import Message
from devices.sensor import Feed
from simulated_feeds.day import ShedDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.feeds import feeds_of
from simulated_feeds.senders.parameters import AirSensorParameters, Sender, SenderKind, Where
from simulated_feeds.stream import Sent, messages
from tests.simulated_feeds.hand_made_days import START, smooth_days

MINUTE = timedelta(minutes=1)
EXACT = AirSensorParameters(
    temperature_accuracy_k=0.0,
    temperature_noise_k=0.0,
    temperature_lag_s=0.0,
    humidity_accuracy_pct=0.0,
    humidity_noise_pct=0.0,
    humidity_lag_s=0.0,
    light_accuracy_share=0.0,
    light_noise_share=0.0,
)


def sender(device: str = "th-shed", **parameters: Any) -> Sender:
    """One in the shed that speaks every minute, seven seconds past it."""
    given: dict[str, Any] = {
        "place": "shed",
        "where": Where.SHED,
        "kind": SenderKind.AIR_AND_LIGHT,
        "interval": MINUTE,
        "offset": timedelta(seconds=7),
    }
    return Sender(device=device, **(given | parameters))


def scale(device: str = "scale-1", **parameters: Any) -> Sender:
    """One under box-1: a sample in ten seconds, six in a message."""
    given: dict[str, Any] = {
        "place": "box-1",
        "where": Where.BOX,
        "kind": SenderKind.SCALE,
        "interval": timedelta(seconds=10),
        "offset": timedelta(seconds=3),
        "samples_per_message": 6,
    }
    return sender(device, **(given | parameters))


def at(hours: float) -> datetime:
    """So many hours after the first day's beginning."""
    return START + timedelta(hours=hours)


def happens(
    what: What, since: float, until: float, who: str = "th-shed", amount: float | None = None
) -> Happening:
    """Between two hours after the beginning."""
    return Happening(what=what, since=at(since), until=at(until), who=who, amount=amount)


def told(
    senders: Sequence[Sender],
    happenings: Sequence[Happening] = (),
    days: Iterable[ShedDay] | int = 1,
    **parameters: Any,
) -> list[Sent]:
    """All their messages of some days."""
    made = smooth_days(days, ("box-1",)) if isinstance(days, int) else days
    return list(messages(made, senders, seed=11, happenings=happenings, **parameters))


def read(sent: Sent, senders: Sequence[Sender]) -> Decoded:
    """A message as the service reads it, by the feeds that it is told of."""
    found = [feed for feed in feeds_of(senders) if _listens(feed, sent.topic)]
    assert len(found) == 1, sent.topic
    message = Message(topic=sent.topic, payload=sent.payload, received_at=sent.at)
    return decode(found[0], message)


def _listens(feed: Feed, topic: str) -> bool:
    levels, spoken = feed.topic.split("/"), topic.split("/")
    return len(levels) == len(spoken) and all(
        level in ("+", word) for level, word in zip(levels, spoken, strict=True)
    )


def values(sent: Sequence[Sent], measure: str, senders: Sequence[Sender]) -> list[float]:
    """What they tell of one measure, in order."""
    return [
        one.value
        for message in sent
        for one in read(message, senders).measurements
        if one.measure == measure
    ]
