"""A sender whose clock is wrong: an alarm of its own, raised and cleared by what is heard.

Its readings are kept: by their arrival where its time can't be, by its own time where that may
only be old. So a clock that is behind makes warnings late, and comes before one that is ahead.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.formats.decoded import Decoded
from devices.message import Message
from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.clock_words import clock_text
from service.quality.sender_clock import OFF_BY, ClockTrack, hear
from service.rules.limit import Priority

RULE_PREFIX = "clock:"

_UNHEARD = ClockTrack()
_ZERO = timedelta(0)


class ClockPath:
    """The clocks of all configured sensors that tell their own time."""

    def __init__(
        self,
        sensors: Sequence[Sensor],
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._tracks: dict[str, tuple[datetime, ClockTrack]] = {}

    def restore(self, now: datetime) -> None:
        """Take up the open alarms: they end as those do that begin while we listen."""
        self._tracks.clear()
        for alarm in self._alarms.open_alarms():
            device = alarm.rule.removeprefix(RULE_PREFIX)
            if device == alarm.rule or not alarm.state.active:
                continue
            if device in self._sensors:
                self._tracks[device] = (now, ClockTrack(wrong=True))
            else:
                self._alarms.end(alarm.rule, now, why="This sensor is set up no more.")

    def heard(self, message: Message, decoded: Decoded) -> None:
        """One message that was understood. What the broker had kept tells nothing here, nor
        does one without a time.
        """
        if message.retained:
            return
        at = message.received_at
        for device, newest in _newest_times(decoded).items():
            sensor = self._sensors.get(device)
            if sensor is None:
                continue
            before_at, before = self._tracks.get(device, (at, _UNHEARD))
            ahead = newest - at
            if before.settled and -OFF_BY <= ahead <= OFF_BY:
                continue
            after = hear(before, ahead, max(at - before_at, _ZERO))
            self._tracks[device] = (at, after)
            if after.wrong and not before.wrong:
                self._raise(sensor, after.off, at)
            elif before.wrong and not after.wrong:
                self._alarms.clear(RULE_PREFIX + device, at)

    def _raise(self, sensor: Sensor, ahead: timedelta, at: datetime) -> None:
        self._alarms.raise_(
            Raised(
                rule=RULE_PREFIX + sensor.device,
                place=sensor.place,
                priority=Priority.LOW if ahead > _ZERO else Priority.MEDIUM,
                at=at,
                value=ahead.total_seconds(),
                setpoint=OFF_BY.total_seconds(),
                text=clock_text(
                    sensor.device,
                    place_name=self._place_names.get(sensor.place, sensor.place),
                    ahead=ahead,
                    since=at,
                    zone=self._zone,
                ),
            )
        )


def _newest_times(decoded: Decoded) -> Mapping[str, datetime]:
    """One pass over the measurements: this is done for every message."""
    newest: dict[str, datetime] = {}
    for one in decoded.measurements:
        at = one.measured_at
        if at is None:
            continue
        known = newest.get(one.device)
        if known is None or (at is not known and at > known):
            newest[one.device] = at
    return newest
