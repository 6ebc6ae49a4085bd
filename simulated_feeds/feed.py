"""All messages of a simulated shed in the order in which they are sent."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from simulated_feeds.scenario import Scenario
from simulated_feeds.sensors import SENSORS, SimulatedSensor, packer
from simulated_feeds.shed import STEP, truths

TimedMessage = tuple[datetime, str, bytes]


def messages(scenario: Scenario, since: datetime, until: datetime) -> Iterator[TimedMessage]:
    """When, topic and payload with ``since <= when < until``, in time order [UTC].

    Nothing exists before ``scenario.start``. Any two stretches agree byte for byte where
    they overlap; equal scenarios give equal bytes.
    """
    senders = sorted(
        ((sensor, packer(scenario, sensor)) for sensor in SENSORS), key=lambda s: s[0].offset_s
    )
    for minute, truth in enumerate(truths(scenario)):
        if truth.at >= until:
            return
        if truth.at + STEP <= since:
            continue
        for sensor, pack in senders:
            number, rest = divmod(minute, sensor.interval // STEP)
            at = truth.at + timedelta(seconds=sensor.offset_s)
            if rest == 0 and since <= at < until and not _is_silent(scenario, sensor, at):
                yield at, sensor.topic, pack(truth, at, number)


def _is_silent(scenario: Scenario, sensor: SimulatedSensor, at: datetime) -> bool:
    return sensor.device == scenario.silent_device and at >= scenario.origin
