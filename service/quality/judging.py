"""Decides the flag of each reading by what was heard before it and beside it.

    can it be? → has its thermometer just been switched on? → is it like the one before, like
    its neighbours, like its own past? → was the one before it a lone spike?

Only three things fail a reading, for what fails is not seen by the rules: what can't be, 85 °C
of a thermometer just switched on, and a lone spike that no air makes. All else is suspect: it
counts as a danger where it is one, a fire and a frost through an open door among them, and
never as an all-clear. A lone spike is known only by what follows it: then the flag of the
stored reading is put right (``take_rejudged``). What the rules made of it when it came stays:
a danger that was told is not taken back, and none is raised anew.

Readings that arrive a day late, or older than what was heard before of their series, are
judged by themselves and disturb nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.quality import air_tests, spikes
from service.quality.battery import dying
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag, Judged
from service.quality.judge import is_history, judge_value, judged_as, time_doubt
from service.quality.memory import Memory, Source
from service.quality.neighbours import Neighbours
from service.quality.past import with_days
from service.quality.terms import APART_FOR_S, POWER_ON_C, TERMS

_BATTERY = (Quantity.BATTERY, Quantity.BATTERY_VOLTAGE)
_USUALLY_S = 1800.0
_INSTANT_S = 0.001
"""The store keeps milliseconds: what comes again lies that near."""

Key = tuple[str, str, Quantity]
"""Device, place and quantity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Which places share their air: the shed's name for each of them, and which are boxes."""

    shed_of: Mapping[str, str] = field(default_factory=dict)
    boxes: frozenset[str] = frozenset()


NOWHERE = Surroundings()


class Judge:
    """Of all series of a shed. For one thread, in the order of arrival."""

    def __init__(
        self, sensors: Iterable[Sensor] = (), surroundings: Surroundings = NOWHERE
    ) -> None:
        self._allowed_s = {one.device: one.overdue_after.total_seconds() for one in sensors}
        self._surroundings = surroundings
        self._turn = 1
        self.forget()

    def forget(self) -> None:
        """As made: nothing was heard."""
        self._memories: dict[Key, Memory] = {}
        self._sources: dict[str, Source] = {}
        self._groups: dict[str, Neighbours] = {}
        self._undo: list[tuple[Memory, tuple[object, ...]]] = []
        self._rejudged: list[Judged] = []

    def judge(self, reading: Reading) -> Judged:
        """Flag one reading; what it tells of the one before waits in ``take_rejudged``."""
        flag, reason = judge_value(reading)
        untimely = time_doubt(reading)
        if flag is Flag.FAIL or reading.quantity not in TERMS:
            return judged_as(reading, flag, reason, untimely)
        at = (reading.received_at if untimely else reading.measured_at).timestamp()
        key = (reading.device, reading.place, reading.quantity)
        memory = self._memory(key)
        if at < memory.at + _INSTANT_S or is_history(reading):
            return judged_as(reading, flag, reason, untimely)
        if memory.touched != self._turn:
            memory.touched = self._turn
            self._undo.append((memory, memory.kept()))
        flag, reason = self._by_memory(memory, reading, at, reason)
        judged = judged_as(reading, flag, reason, untimely)
        if flag is not Flag.FAIL:
            self._follow(memory, judged, at)
        return judged

    def _by_memory(
        self, memory: Memory, reading: Reading, at: float, reason: str
    ) -> tuple[Flag, str]:
        """``reason`` says why its value alone is suspect; empty where it is not."""
        value = reading.value
        raw = value if reading.raw is None else reading.raw
        neighbours = None if memory.group is None else self._groups[memory.group]
        if raw == POWER_ON_C and (
            switched_on := air_tests.just_switched_on(memory, at, neighbours)
        ):
            return Flag.FAIL, switched_on
        if at - memory.at > memory.allowed_s:
            memory.begin_anew()
        elif spiked := spikes.put_right(memory, value, at):
            self._rejudged.append(spiked)
        found = [reason] if reason else []
        air_tests.against_before(memory, value, raw, at, found)
        if neighbours is not None or memory.past.low is not None:
            air_tests.against_others(memory, value, at, neighbours, found)
        return (Flag.SUSPECT, "; ".join(found)) if found else (Flag.PASS, "")

    def _follow(self, memory: Memory, judged: Judged, at: float) -> None:
        reading = judged.reading
        raw = reading.value if reading.raw is None else reading.raw
        memory.follow(at, reading.value, raw, judged)
        if memory.quantity in _BATTERY:
            memory.source.dying = dying(memory)

    def _memory(self, key: Key) -> Memory:
        """What is remembered of a series; its quantity has ``TERMS``."""
        return self._memories.get(key) or self._new(key)

    def _new(self, key: Key) -> Memory:
        device, place, quantity = key
        group = self._surroundings.shed_of.get(place)
        terms = TERMS[quantity]
        source = self._sources.setdefault(device, Source())
        memory = self._memories[key] = Memory(
            quantity,
            terms,
            source,
            allowed_s=self._allowed_s.get(device, _USUALLY_S),
            group=group if terms.apart is not None else None,
            in_box=place in self._surroundings.boxes,
        )
        if memory.group is not None:
            self._groups.setdefault(memory.group, Neighbours()).join(memory)
        return memory

    def recall_past(self, key: Key, hourly: Iterable[tuple[int, float]]) -> None:
        """What the days before were like; told before the readings of ``recall``.

        Args:
            key: the series.
            hourly: number since 1970 and mean of each hour, oldest first.
        """
        memory = self._memory(key)
        memory.past = with_days(memory.past, hourly)

    def recall(self, key: Key, at: float, value: float, raw: float, flag: Flag) -> None:
        """One stored reading, oldest first, at a start: nothing is flagged anew.

        What failed is not believed, and what the series knew already changes nothing.
        """
        memory = self._memory(key)
        if flag in (Flag.FAIL, Flag.MISSING) or at < memory.at + _INSTANT_S:
            return
        if at - memory.at > memory.allowed_s:
            memory.begin_anew()
        air_tests.against_before(memory, value, raw, at, [])
        if memory.past.low is not None:
            air_tests.against_others(memory, value, at, None, [])
        memory.follow(at, value, raw, None)
        if memory.quantity in _BATTERY:
            memory.source.dying = dying(memory)

    def recall_doubts(self, key: Key, reason: str) -> None:
        """Why the newest stored reading is doubted; told last.

        What that began with may be long ago, and one series alone does not tell that it is
        apart from others.
        """
        memory, doubts = self._memory(key), doubts_in(reason)
        memory.fahrenheit = memory.fahrenheit or Doubt.FAHRENHEIT in doubts
        if Doubt.APART in doubts:
            memory.apart_since = memory.at - APART_FOR_S

    def take_rejudged(self) -> Sequence[Judged]:
        """Readings told before whose flag was wrong, as they are now; each once."""
        taken, self._rejudged = self._rejudged, []
        return taken

    def keep(self) -> None:
        """What was judged is stored."""
        self._undo.clear()
        self._rejudged.clear()
        self._turn += 1

    def go_back(self) -> None:
        """What was judged since ``keep`` was not stored, and will come again."""
        for memory, kept in self._undo:
            memory.put_back(kept)
        self.keep()
