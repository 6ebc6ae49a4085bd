"""The senders of a scenario file: ``*`` in device and place stands for each box's number."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from simulated_feeds.impossible import shown
from simulated_feeds.scenario_files.parts import part
from simulated_feeds.senders.parameters import Sender

STAR = "*"

_NO_BOXES = ("shed", "outdoors", "surface")

# What hangs in the shed where a file names no sender.
_USUAL: tuple[Mapping[str, Any], ...] = (
    {
        "device": "th-shed",
        "place": "shed",
        "kind": "air and light",
        "interval": "60 s",
        "offset": "7 s",
    },
    {
        "device": "th-outdoors",
        "place": "outdoors",
        "kind": "air",
        "interval": "120 s",
        "offset": "23 s",
    },
    {
        "device": "th-box-2",
        "place": "box-2",
        "kind": "air",
        "interval": "120 s",
        "offset": "31 s",
    },
    {
        "device": "th-box-4",
        "place": "box-4",
        "kind": "air",
        "interval": "120 s",
        "offset": "44 s",
    },
)


def senders_of(
    tables: Sequence[Mapping[str, Any]], boxes: Sequence[str], faults: list[str]
) -> tuple[Sender, ...]:
    """All senders that the tables describe; the usual four where there is none.

    Args:
        tables: as they stand in the file.
        boxes: ``box-1`` and so on.
        faults: gets a sentence for every fault.
    """
    known = (*_NO_BOXES, *boxes)
    found: list[Sender] = []
    for number, table in enumerate(tables or _USUAL):
        for each in _each(table, boxes):
            before = len(faults)
            where = f"sender.{number}"
            sender = part(Sender, each, where, faults, given={"where": _where(each)})
            if sender is not None and sender.place not in known:
                allowed = ", ".join(known)
                faults.append(f"{where}.place is {shown(sender.place)}; allowed is {allowed}")
            elif sender is not None:
                found.append(sender)
            elif len(faults) > before:
                break  # the other boxes have the same fault
    devices = [sender.device for sender in found]
    faults.extend(
        f"sender: {device} is named {devices.count(device)} times"
        for device in sorted(set(devices))
        if devices.count(device) > 1
    )
    return tuple(found)


def _each(table: Mapping[str, Any], boxes: Sequence[str]) -> Iterator[Mapping[str, Any]]:
    if STAR not in str(table.get("place")):
        yield table
        return
    for box in boxes:
        number = box.removeprefix("box-")
        names = {key: str(table.get(key)).replace(STAR, number) for key in ("device", "place")}
        yield {**table, **names}


def _where(table: Mapping[str, Any]) -> str:
    place = table.get("place")
    return place if place in _NO_BOXES else "box"
