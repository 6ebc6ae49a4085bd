"""When a sensor stood elsewhere than at its place: in a salt jar, for a trial. Pure.

A reading belongs to where its sensor stood when it was measured, whenever it arrives: what
was measured before a trial is the shed's, and what was measured in the jar never is.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType

from devices.reading import Reading
from service.quality.judge import believed_time

_NOBODY: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """``until`` is None while it goes on."""

    device: str
    since: datetime
    until: datetime | None

    def covers(self, at: datetime) -> bool:
        """Whether the sensor stood there at that instant."""
        return self.since <= at and (self.until is None or at < self.until)


class Stays:
    """All stays of a shed's sensors at one place."""

    def __init__(
        self, place: str = "", stays: Iterable[Stay] = (), homes: Mapping[str, str] = _NOBODY
    ) -> None:
        """``homes`` tells, of the sensors that are at ``place`` now, where each was before."""
        self._place = place
        self._homes = homes
        self._by_device: dict[str, list[Stay]] = defaultdict(list)
        for stay in stays:
            self._by_device[stay.device].append(stay)

    def applied_to(self, reading: Reading) -> Reading:
        """The reading at the place where its sensor stood when it was measured.

        Where the sender's time is not believed its arrival counts, as everywhere.
        """
        stays = self._by_device.get(reading.device)
        if stays is None:
            return reading
        at = believed_time(reading)
        if any(stay.covers(at) for stay in stays):
            return replace(reading, place=self._place)
        home = self._homes.get(reading.device)
        return reading if home is None else replace(reading, place=home)
