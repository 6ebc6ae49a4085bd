"""Two devices with one name: an alarm of its own, raised and cleared by what is heard.

The readings of both are stored as they come: which of them is the right one nobody can tell.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.formats.decoded import Decoded
from devices.message import Message
from devices.sensor import OVERDUE_INTERVALS, Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.wording import twins_text
from service.quality.judge import MAX_AHEAD, MAX_BEHIND
from service.quality.twins import Spoken, TwinTrack, hear
from service.rules.limit import Priority

RULE_PREFIX = "twins:"

_UNHEARD = TwinTrack()


class TwinsPath:
    """All configured sensors: whether each is one device."""

    def __init__(
        self,
        sensors: Sequence[Sensor],
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._patience = {one.device: OVERDUE_INTERVALS * one.interval for one in sensors}
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._tracks: dict[str, TwinTrack] = {}

    def restore(self, now: datetime) -> None:
        """Take up the open alarms: they end as those do that begin while we listen."""
        self._tracks.clear()
        for alarm in self._alarms.open_alarms():
            device = alarm.rule.removeprefix(RULE_PREFIX)
            if device == alarm.rule or not alarm.state.active:
                continue
            if device in self._sensors:
                self._tracks[device] = TwinTrack(twins=True)
            else:
                self._alarms.end(alarm.rule, now, why="This sensor is set up no more.")

    def heard(self, message: Message, decoded: Decoded) -> None:
        """One message that was understood. What the broker had kept tells nothing here."""
        if message.retained:
            return
        for device in decoded.devices:
            sensor = self._sensors.get(device)
            if sensor is None:
                continue
            before = self._tracks.get(device, _UNHEARD)
            after = hear(before, _spoken(device, self._patience[device], message, decoded))
            self._tracks[device] = after
            if after.twins and not before.twins:
                self._raise(sensor, after, message.received_at)
            elif before.twins and not after.twins:
                self._alarms.clear(RULE_PREFIX + device, message.received_at)

    def told(self) -> tuple[str, ...]:
        """The names that two devices have now, each in a sentence."""
        alarms = (self._alarms.of(RULE_PREFIX + device) for device in self._sensors)
        return tuple(alarm.text for alarm in alarms if alarm is not None and alarm.state.active)

    def _raise(self, sensor: Sensor, track: TwinTrack, at: datetime) -> None:
        self._alarms.raise_(
            Raised(
                rule=RULE_PREFIX + sensor.device,
                place=sensor.place,
                priority=Priority.MEDIUM,
                at=at,
                value=2.0,
                setpoint=1.0,
                text=twins_text(
                    sensor.device,
                    place_name=self._place_names.get(sensor.place, sensor.place),
                    topics=track.topics,
                    since=at,
                    zone=self._zone,
                ),
            )
        )


def _spoken(device: str, patience: timedelta, message: Message, decoded: Decoded) -> Spoken:
    """One pass over the measurements: this is done for every message."""
    earliest, latest = message.received_at - MAX_BEHIND, message.received_at + MAX_AHEAD
    newest: datetime | None = None
    measures = []
    for one in decoded.measurements:
        if one.device != device:
            continue
        measures.append(one.measure)
        at = one.measured_at
        # A clock that is not to be believed tells new from old no better than none.
        if (
            at is not None
            and at is not newest
            and (newest is None or at > newest)
            and earliest <= at <= latest
        ):
            newest = at
    return Spoken(
        topic=message.topic,
        at=message.received_at,
        boot=decoded.boots.get(device),
        seq=decoded.seqs.get(device),
        measured_at=newest,
        measures=frozenset(measures),
        patience=patience,
    )
