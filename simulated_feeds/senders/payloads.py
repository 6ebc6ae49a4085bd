"""Messages in the three formats that are understood: SenML packs, JSON objects, plain numbers.

Sources: RFC 8428 for SenML, with times relative to the pack's base time (section 4.5.3); RFC
3339 for times as text. Every row of a batch fills one template: that is what makes a season
quick to write.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from devices.sensor import Format
from simulated_feeds.day import Minutes
from simulated_feeds.senders.feeds import (
    BATTERY,
    BATTERY_VOLTAGE,
    HUMIDITY,
    LIGHT,
    MAINS,
    MASS,
    TEMPERATURE,
    UNITS,
)
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.spans import Instants, instant

_ROWS = 512
_MOST_DECIMALS = 4
_GRAM_DECIMALS = 2

Batch = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Letters:
    """Some messages of one sender before they are written.

    ``stamps``: the time of each one's first sample, as its device believes it. ``values``:
    from measure to a row of samples for each message. ``battery`` and ``volts`` are None for
    a sender without a battery, and not a number where a message does not tell them.
    """

    stamps: Instants
    values: Mapping[str, Batch]
    seqs: Instants
    boots: Sequence[str]
    battery: Minutes | None = None
    volts: Minutes | None = None


def boot_of(seed: int, name: str, run: int) -> str:
    """Names a run of a device, the same in every process."""
    return f"{crc32(f'{seed}:{name}:{run}'.encode()):08x}"


def status(device: str, *, alive: bool) -> bytes:
    """A device's retained sign of life, or its will."""
    return f'[{{"bn":"{device}:","n":"alive","vb":{"true" if alive else "false"}}}]'.encode()


def written(sender: Sender, letters: Letters) -> list[tuple[str, Iterator[bytes]]]:
    """The payloads in order, under each topic of the sender: as many as there are stamps."""
    if sender.format is Format.SENML:
        return [(sender.topic, _senml(sender, letters))]
    if sender.format is Format.JSON:
        return [(sender.topic, _json(sender, letters))]
    return [
        (f"{sender.topic}/{measure}", _numbers(_decimals(sender, measure), values))
        for measure, values in letters.values.items()
    ]


def _senml(sender: Sender, letters: Letters) -> Iterator[bytes]:
    template = senml_template(sender, tuple(letters.values))
    batteries = _battery_records(letters)
    for first, rows in _matrix_rows(letters.values):
        last = first + len(rows)
        heads = _seconds(letters.stamps[first:last])
        seqs = letters.seqs[first:last].tolist()
        for number, row in enumerate(rows):
            at = first + number
            tail = (batteries[at], seqs[number], letters.boots[at])
            yield (template % (heads[number], *row, *tail)).encode()


def senml_template(sender: Sender, measures: tuple[str, ...]) -> str:
    """A pack with holes for base time, values, battery records, running number and run."""
    step_s = sender.interval.total_seconds()
    records = []
    for sample in range(sender.samples_per_message):
        later = f',"t":{sample * step_s:.10g}' if sample else ""
        records += [
            f'"n":"{name}","u":"{UNITS[name].replace("%", "%%")}"{later},'
            f'"v":%.{_decimals(sender, name)}f}}'
            for name in measures
        ]
    head = f'[{{"bn":"{sender.device}:","bt":%s,'
    return head + ",{".join(records) + '%s,{"n":"seq","v":%d},{"n":"boot","vs":"%s"}]'


def _battery_records(letters: Letters) -> list[str]:
    if letters.battery is None or letters.volts is None:
        return [""] * len(letters.stamps)
    return [
        ""
        if percent != percent  # noqa: PLR0124 - not a number: this message does not tell it
        else f',{{"n":"{BATTERY}","u":"%EL","v":{percent:.0f}}}'
        f',{{"n":"{BATTERY_VOLTAGE}","u":"V","v":{volts:.2f}}}'
        for percent, volts in zip(letters.battery.tolist(), letters.volts.tolist(), strict=True)
    ]


def _json(sender: Sender, letters: Letters) -> Iterator[bytes]:
    measures = tuple(letters.values)
    holes = ",".join(f'"{name}":%.{_decimals(sender, name)}f' for name in measures)
    template = f'{{"id":"{sender.device}","at":"%s",{holes}%s}}'
    batteries = _battery_members(letters)
    for first, rows in _matrix_rows(letters.values):
        for number, row in enumerate(rows, start=first):
            at = instant(int(letters.stamps[number])).isoformat().replace("+00:00", "Z")
            yield (template % (at, *row, batteries[number])).encode()


def _battery_members(letters: Letters) -> list[str]:
    if letters.battery is None:
        return [""] * len(letters.stamps)
    return [
        "" if np.isnan(percent) else f',"{BATTERY}":{percent:.0f}'
        for percent in letters.battery.tolist()
    ]


def _numbers(decimals: int, values: Batch) -> Iterator[bytes]:
    for value in values[:, 0].tolist():
        yield f"{value:.{decimals}f}".encode()


def _matrix_rows(values: Mapping[str, Batch]) -> Iterator[tuple[int, list[list[float]]]]:
    """Some rows at a time: for each message its samples in order, each with all measures."""
    matrix = np.stack(list(values.values()), axis=2)
    flat = matrix.reshape(len(matrix), -1)
    for first in range(0, len(flat), _ROWS):
        yield first, flat[first : first + _ROWS].tolist()


def _seconds(stamps: Instants) -> list[str]:
    """Milliseconds as seconds, with decimals only where there are some."""
    return [f"{ms // 1000}" if ms % 1000 == 0 else f"{ms / 1000:.3f}" for ms in stamps.tolist()]


def _decimals(sender: Sender, measure: str) -> int:
    resolutions = {
        TEMPERATURE: sender.air.temperature_resolution_k,
        HUMIDITY: sender.air.humidity_resolution_pct,
        LIGHT: sender.air.light_resolution_lx,
        MASS: 10.0**-_GRAM_DECIMALS,
        MAINS: 1.0,
    }
    return decimals_of(resolutions[measure])


@lru_cache
def decimals_of(resolution: float) -> int:
    """As many as it takes to tell whole numbers of the resolution apart, 4 at most."""
    for decimals in range(_MOST_DECIMALS):
        if abs(round(resolution, decimals) - resolution) < 1e-9:
            return decimals
    return _MOST_DECIMALS
