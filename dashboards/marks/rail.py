"""The rail as a drawing: a line of days with a bead for now; boxes hang from their day.

One cord: the moment is known. Two cords from the ends of a thick bar: a span of days; a
wide V is an unsure date. The next box is filled dark, only one is. Late hangs left of the
bead. Everything stays grey: work is not an alarm.
"""

from dataclasses import dataclass
from datetime import datetime

from dashboards.marks.nest_marks import due_mark
from dashboards.marks.palette import Palette
from dashboards.marks.svg import circle, line, rect, text
from dashboards.marks.text_width import text_width
from dashboards.views.local_words import local_day, weekday
from dashboards.views.rail_view import RailEntry, RailView

LEFT, RIGHT = 40.0, 1240.0
BEAD_X = 150.0
_DAY_X = (150.0, 310.0, 508.0, 636.0, 764.0, 892.0, 1020.0)
_TAGS_WITH_MARKS = 8
_TAG = (112.0, 52.0)
_SMALL = (58.0, 40.0)
_ROWS = 3


def rail(view: RailView, palette: Palette, *, y: float, lowest: float) -> str:
    """The rail at ``y``; no tag reaches below ``lowest``."""
    hanging = [entry for entry in view.entries if _column(view, entry) is not None]
    drawn = [
        line((LEFT, y), (RIGHT, y), palette.ink, 6),
        _days(view, palette, y, len(view.entries) - len(hanging)),
    ]
    placed = _place_with_marks(view, hanging, y, lowest)
    if placed is None:
        drawn.append(_small_tags(view, hanging, palette, y, lowest))
    else:
        drawn.extend(_bar_and_cords(tag, view, palette, y) for tag in placed)
        drawn.extend(_tag(tag, palette) for tag in placed)
    drawn.append(circle((BEAD_X, y), 15, palette.ink, palette.paper, 4))
    return "".join(drawn)


def _column(view: RailView, entry: RailEntry) -> int | None:
    """-1 late, 0 today, and so on; None is later than the rail reaches."""
    if entry.late:
        return -1
    day = view.day_of(entry)
    return day if day < len(view.days) - 1 else None


def _days(view: RailView, palette: Palette, y: float, later: int) -> str:
    drawn = []
    for n, x in enumerate(_DAY_X):
        drawn.append(line((x, y), (x, y + 12), palette.ink, 3))
        if n < len(view.days) - 1:
            word = (
                ("today", "tomorrow")[n]
                if n < 2
                else weekday(local_day(view.days[n], view.zone))[:3]
            )
            drawn.append(text(word, x, y - 14, 41, palette.soft if n else palette.ink))
    if any(entry.late for entry in view.entries):
        drawn.append(text("late", LEFT, y - 14, 41, palette.ink, bold=True))
    if later:
        drawn.append(text(f"{later} later", RIGHT, y - 14, 41, palette.soft, anchor="end"))
    return "".join(drawn)


def rail_x(view: RailView, at: datetime) -> float:
    """Where an instant lies on the rail; what is past lies at the bead, what is far at the end."""
    if at <= view.now:
        return BEAD_X
    starts = [view.now, *view.days[1:]]
    for n in range(len(starts) - 1):
        if at < starts[n + 1]:
            share = (at - starts[n]) / (starts[n + 1] - starts[n])
            return _DAY_X[n] + share * (_DAY_X[n + 1] - _DAY_X[n])
    return _DAY_X[-1]


@dataclass(frozen=True, slots=True)
class _Placed:
    entry: RailEntry
    x: float
    row: int
    top: float
    is_next: bool


def _place_with_marks(
    view: RailView, hanging: list[RailEntry], y: float, lowest: float
) -> list[_Placed] | None:
    """Where tags with marks hang; None where they don't all find room."""
    if len(hanging) > _TAGS_WITH_MARKS:
        return None
    height = _TAG[1]
    rows = int((lowest - y - 30 + 8) // (height + 8))
    taken: list[tuple[int, float]] = []
    placed = []
    for entry in hanging:
        spot = _free_spot(_anchor_x(view, entry), rows, taken)
        if spot is None:
            return None
        row, middle = spot
        taken.append(spot)
        top = y + 30 + row * (height + 8)
        placed.append(_Placed(entry, middle, row, top, entry is view.next))
    return placed


def _free_spot(
    anchor: float, rows: int, taken: list[tuple[int, float]]
) -> tuple[int, float] | None:
    """The row and middle nearest below the anchor where a tag touches no other."""
    width = _TAG[0]
    for aside in (0.0, width + 8, -width - 8, 2 * (width + 8)):
        middle = min(RIGHT - width / 2, max(LEFT + width / 2, anchor + aside))
        for row in range(rows):
            if all(r != row or abs(middle - x) >= width + 6 for r, x in taken):
                return row, middle
    return None


def _anchor_x(view: RailView, entry: RailEntry) -> float:
    if entry.late:
        return LEFT + _TAG[0] / 2
    since, until = rail_x(view, entry.due.since), rail_x(view, entry.due.until)
    return (since + until) / 2


def _bar_and_cords(tag: _Placed, view: RailView, palette: Palette, y: float) -> str:
    if tag.entry.late:
        return line((tag.x, y), (tag.x, tag.top), palette.edge, 4)
    left = rail_x(view, tag.entry.due.since)
    right = rail_x(view, tag.entry.due.until)
    aside = abs((left + right) / 2 - tag.x) > _TAG[0] / 2
    if right - left < 16 or tag.row > 0 or aside:
        knot = (left + right) / 2
        bar = line((left, y), (right, y), palette.ink, 13) if right - left >= 16 else ""
        return bar + line((knot, y), (tag.x, tag.top), palette.edge, 4)
    return (
        line((left, y), (tag.x, tag.top + 2), palette.edge, 4)
        + line((right, y), (tag.x, tag.top + 2), palette.edge, 4)
        + line((left, y), (right, y), palette.ink, 13)
    )


def _tag(tag: _Placed, palette: Palette) -> str:
    width, height = _TAG
    left = tag.x - width / 2
    ground, ink = _tag_colours(palette, filled=tag.is_next)
    number = text(
        tag.entry.label,
        left + (30 if len(tag.entry.label) < 3 else 38),
        tag.top + 41,
        43 if len(tag.entry.label) < 3 else 38,
        ink,
        bold=True,
        anchor="middle",
    )
    mark = due_mark(tag.entry.due.kind, left + 82, tag.top + 26, 38, ink)
    box = rect(left, tag.top, width, height, ground, stroke=palette.ink, stroke_width=3)
    return box + number + mark


def _tag_colours(palette: Palette, *, filled: bool) -> tuple[str, str]:
    if filled:
        return palette.ink, palette.paper
    return palette.light_ground, palette.ink


def _small_tags(
    view: RailView, hanging: list[RailEntry], palette: Palette, y: float, lowest: float
) -> str:
    """Numbers only, one column of days each in walking order; the last cell may say "+3"."""
    width, height = _SMALL
    rows = min(_ROWS, int((lowest - y - 22 + 7) // (height + 7)))
    drawn = []
    for day in range(-1, len(view.days) - 1):
        of_day = [entry for entry in hanging if _column(view, entry) == day]
        if not of_day:
            continue
        left = LEFT if day < 0 else _DAY_X[day]
        room = (BEAD_X - 20 if day < 0 else _DAY_X[day + 1]) - left
        across = max(1, int((room + 3) // (width + 3)))
        of_day.sort(key=lambda entry: (entry is not view.next, entry.box.order))
        drawn.append(line((left + width / 2, y), (left + width / 2, y + 22), palette.edge, 3))
        cells = across * rows
        shown = of_day if len(of_day) <= cells else of_day[: cells - 1]
        for n, entry in enumerate(shown):
            drawn.append(
                _cell(
                    entry.label,
                    (left + (n % across) * (width + 3), y + 22 + (n // across) * (height + 7)),
                    palette,
                    filled=entry is view.next,
                )
            )
        if len(shown) < len(of_day):
            n = len(shown)
            x = left + (n % across) * (width + 3)
            top = y + 22 + (n // across) * (height + 7)
            drawn.append(
                text(
                    f"+{len(of_day) - len(shown)}",
                    x + width / 2,
                    top + 34,
                    38,
                    palette.ink,
                    bold=True,
                    anchor="middle",
                )
            )
    return "".join(drawn)


def _cell(label: str, corner: tuple[float, float], palette: Palette, *, filled: bool) -> str:
    width, height = _SMALL
    ground, ink = _tag_colours(palette, filled=filled)
    x, top = corner
    size = 38.0
    while text_width(label, size, bold=True) > width - 6:
        size -= 2
    return rect(x, top, width, height, ground, stroke=palette.ink, stroke_width=3) + text(
        label, x + width / 2, top + 34, size, ink, bold=True, anchor="middle"
    )
