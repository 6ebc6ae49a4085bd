"""Night or day in the shed, followed reading by reading by its light sensors."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from devices.reading import Quantity
from devices.sensor import Sensor
from service.climate.light_plan import LightPlan
from service.climate.light_state import Light, LightTrack, follow_light, light_at
from service.quality.flag import Flag
from service.store.reading_store import ReadingStore

_RUNS_BEFORE = 4
_BEFORE = timedelta(hours=1)


class LightPath:
    """What the light sensors at ``places`` have shown, and what the plan says without them."""

    def __init__(self, sensors: Sequence[Sensor], plan: LightPlan, places: Sequence[str]) -> None:
        self._overdue_after = {sensor.device: sensor.overdue_after for sensor in sensors}
        self._plan = plan
        self._places = frozenset(places)
        self._tracks: dict[str, LightTrack] = {}

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings left off."""
        self._tracks.clear()
        since = now - _RUNS_BEFORE * self._plan.dark_for - _BEFORE
        for series in store.series():
            if self.concerns(series.place, series.quantity):
                for reading in store.window(series.id, since, now + timedelta(minutes=1)):
                    self.reading(series.device, reading.measured_at, reading.value, reading.flag)

    def concerns(self, place: str, quantity: Quantity) -> bool:
        """Whether readings of that kind tell night from day."""
        return quantity is Quantity.ILLUMINANCE and place in self._places

    def reading(self, device: str, at: datetime, lux: float, flag: Flag) -> None:
        """Follow one reading [lx]; one that failed, or of a device unknown, tells nothing."""
        overdue_after = self._overdue_after.get(device)
        if overdue_after is None or flag in (Flag.FAIL, Flag.MISSING):
            return
        self._tracks[device] = follow_light(
            self._tracks.get(device, LightTrack()),
            at,
            lux,
            self._plan,
            max_gap=max(overdue_after, self._plan.dark_for),
        )

    def light(self, at: datetime) -> Light:
        """Night or day, by the light sensors that are heard, else by the plan.

        Where they disagree (one stands in a dark corner) nobody can tell, so that the limits
        of the day and those of the night both hold.
        """
        told = [
            light_at(at, track, self._plan, sensor_silent=False)
            for device, track in self._tracks.items()
            if track.last_at is not None and at - track.last_at <= self._overdue_after[device]
        ]
        if not told:
            return light_at(at, LightTrack(), self._plan, sensor_silent=True)
        if len({one.is_night for one in told}) > 1:
            return Light(is_night=None, bounds=None)
        return told[0]
