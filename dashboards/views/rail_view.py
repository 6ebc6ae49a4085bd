"""The rail: which box needs a person next, and when. One entry for each box."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.local_words import day_word, local_day, start_of_day, weekday
from service.nests.due import Due, DueKind
from service.nests.due_dates import next_due
from service.nests.place import Place

NAMED_DAYS = 4
"""Days on the rail after tomorrow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailEntry:
    """What a box needs next. ``late``: its span has ended. ``label`` is short enough for a tag."""

    box: Place
    label: str
    due: Due
    late: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RailView:
    """``days`` are the starts of today, tomorrow and so on, and the end of the last, in UTC.

    ``entries`` come with the most pressing first. ``boxes`` counts all boxes of the shed.
    """

    now: datetime
    zone: ZoneInfo
    days: tuple[datetime, ...]
    entries: tuple[RailEntry, ...]
    boxes: int

    @property
    def next(self) -> RailEntry | None:
        """The box to see to next."""
        return self.entries[0] if self.entries else None

    def day_of(self, entry: RailEntry) -> int:
        """0 for today, 1 for tomorrow; from ``len(days) - 1`` on it is later."""
        start = max(entry.due.since, self.now)
        return sum(1 for day in self.days[1:] if day <= start)


def rail_view(
    boxes: Sequence[Place], dues: Sequence[Due], now: datetime, zone: ZoneInfo
) -> RailView:
    """The most pressing due of each box, in the order in which they press."""
    entries = []
    for box in boxes:
        due = next_due([due for due in dues if due.box == box.id], now)
        if due is not None:
            entries.append(RailEntry(box=box, label=box_label(box), due=due, late=due.until < now))
    entries.sort(key=lambda e: (*_pressing(e.due, now), e.box.order))
    today = local_day(now, zone)
    days = tuple(start_of_day(today + timedelta(days=n), zone) for n in range(NAMED_DAYS + 3))
    return RailView(now=now, zone=zone, days=days, entries=tuple(entries), boxes=len(boxes))


def _pressing(due: Due, now: datetime) -> tuple[bool, datetime, datetime]:
    if due.until < now:
        return (False, due.until, due.until)
    return (True, max(due.since, now), due.until)


def box_label(box: Place) -> str:
    """The number of a box for a tag: the digits that end its name, else its first letters."""
    name = box.name.strip()
    digits = name[len(name.rstrip("0123456789")) :]
    return digits[-3:] or name[:3]


_SHORT = {
    DueKind.NEXT_EGG: ("egg {n} due", "to be laid"),
    DueKind.CLUTCH_COMPLETE: ("clutch due", "to be complete"),
    DueKind.CANDLE: ("eggs are due", "to candle"),
    DueKind.HATCH: ("egg {n} due", "to hatch"),
    DueKind.RING: ("chick {n} due", "for its ring"),
    DueKind.HIDE_IN: ("a hide due", "on the floor"),
    DueKind.FLEDGE: ("chick {n} due", "to come out"),
    DueKind.INDEPENDENT: ("chick {n} due", "to feed itself"),
    DueKind.SPLIT: ("young are due", "to part"),
    DueKind.BOX_OFF: ("the box due", "to come off"),
}
_NOUN = {
    DueKind.NEXT_EGG: "egg due",
    DueKind.CLUTCH_COMPLETE: "clutch due",
    DueKind.CANDLE: "candling due",
    DueKind.HATCH: "hatch due",
    DueKind.RING: "ring due",
    DueKind.HIDE_IN: "hide due in",
    DueKind.FLEDGE: "outing due",
    DueKind.INDEPENDENT: "feeding due",
    DueKind.SPLIT: "parting due",
    DueKind.BOX_OFF: "box off due",
}


def due_notes(view: RailView, entry: RailEntry) -> tuple[str, str]:
    """Two short lines beside the next box."""
    if entry.late:
        until = local_day(entry.due.until, view.zone)
        ago = (local_day(view.now, view.zone) - until).days
        when = "earlier today" if ago == 0 else "yesterday" if ago == 1 else f"{ago} days ago"
        return _NOUN[entry.due.kind], when
    first, second = _SHORT[entry.due.kind]
    number = "" if entry.due.egg_number is None else str(entry.due.egg_number)
    return first.format(n=number).replace("  ", " "), second


def next_box_sentences(view: RailView) -> tuple[str, ...]:
    """The next box in words, the longest sentence first."""
    entry = view.next
    if view.boxes == 0:
        return ("No boxes yet",)
    if entry is None:
        return ("No box is due", "None is due")
    name = entry.box.name
    if entry.late:
        return (f"{name} is late", f"{name} late", f"Box {entry.label} late", "One is late")
    day = view.day_of(entry)
    if day >= len(view.days) - 1:
        on = day_word(local_day(entry.due.since, view.zone))
        return (f"{name} on {on}", f"Box {entry.label} later", "None soon")
    if day <= 1:
        word = "tomorrow" if day else "today"
        return (f"{name} {word}", f"Box {entry.label} {word}", f"One {word}")
    named = weekday(local_day(max(entry.due.since, view.now), view.zone))
    return (f"{name} {named}", f"{name} {named[:3]}", f"Box {entry.label} {named[:3]}", named)


COUNT_FROM = 25
"""With so many boxes the words tell how many, not which."""


def many_boxes_sentences(view: RailView) -> tuple[tuple[str, ...], tuple[str, str]] | None:
    """``3 boxes today`` and ``start at box 19``; None where one box is named."""
    if view.boxes < COUNT_FROM or view.next is None:
        return None
    first = view.next
    together = [
        e
        for e in view.entries
        if e.late is first.late and (e.late or view.day_of(e) == view.day_of(first))
    ]
    if len(together) < 2:
        return None
    day = view.day_of(first)
    if first.late:
        when = "late"
    elif day <= 1:
        when = "tomorrow" if day else "today"
    elif day < len(view.days) - 1:
        when = weekday(local_day(first.due.since, view.zone))[:3]
    else:
        when = "later"
    start = min(together, key=lambda e: e.box.order)
    number = len(together)
    return (f"{number} boxes {when}", f"{number} {when}"), ("start at", f"box {start.label}")
