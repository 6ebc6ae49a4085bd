"""The wall, drawn once as an SVG of 1280 by 800: three sizes of letter, nothing to tap.

At 149 pixels an inch the verdict can be read from 3 m, the two other big lines from 3 m
too, all else from 1 m (16 to 20 minutes of arc). Words are measured in the font that is
served: what would not fit is said in a shorter sentence, never in smaller letters.
"""

from datetime import timedelta

from dashboards.marks.channel import hatch, hour_ticks, wall_channel
from dashboards.marks.nest_marks import due_mark
from dashboards.marks.palette import DAY, NIGHT, Palette
from dashboards.marks.rail import rail
from dashboards.marks.signs import sign
from dashboards.marks.svg import drawing, element, rect, text
from dashboards.marks.text_width import cut_to, text_width
from dashboards.views.wall_view import Form, WallLine, WallView

WIDTH, HEIGHT = 1280.0, 800.0
MARGIN = 40.0
VERDICT, BIG, SMALL = 154.0, 123.0, 41.0
NOW_X = 563.2
CHANNEL = (288.0, 429.0)
BEFORE = timedelta(hours=12)
_GAP = 20.0
_NOTE_WIDTH = 360.0


def wall_picture(view: WallView) -> str:
    """The whole wall."""
    palette = NIGHT if view.night else DAY
    lowest = 792.0 if view.foot is None else 740.0
    drawn = [
        element("defs", hatch("silent", palette)),
        rect(0, 0, WIDTH, HEIGHT, palette.paper),
        _verdict(view, palette),
        _line(view.second, palette, y=255, notes_y=(205, 255)),
        _channel(view, palette),
        _third(view, palette),
        rail(view.rail, palette, y=604, lowest=lowest),
    ]
    if view.foot is not None:
        words = cut_to(view.foot, WIDTH - 2 * MARGIN, SMALL, bold=True)
        drawn.append(text(words, MARGIN, 784, SMALL, palette.watch, bold=True))
    return drawing("".join(drawn), WIDTH, HEIGHT, label=view.spoken, name="wall")


def words_that_fit(
    line: WallLine, left: float, right: float, size: float, *, bold: bool
) -> tuple[str, tuple[str, ...]]:
    """The sentence and the notes that stand in one row without touching.

    The longest sentence beside its notes, else beside its short notes, else the next
    sentence; at the very last a name is cut at its end and stands alone.
    """
    choices = [tuple(cut_to(n, _NOTE_WIDTH, SMALL) for n in line.notes)]
    if line.short_notes:
        choices.append(line.short_notes)
    for sentence in line.sentences:
        for notes in choices:
            room = right - left - _widest(notes, bold=line.bold)
            if text_width(sentence, size, bold=bold) <= room:
                return sentence, notes
    return cut_to(line.sentences[-1], right - left, size, bold=bold), ()


def _widest(notes: tuple[str, ...], *, bold: bool) -> float:
    if not notes:
        return 0.0
    widths = (text_width(note, SMALL, bold=bold and n == 0) for n, note in enumerate(notes))
    return max(widths) + _GAP


def _notes(
    notes: tuple[str, ...],
    right: float,
    ys: tuple[float, float],
    colours: tuple[str, str],
    *,
    bold: bool,
) -> str:
    """One note stands on the lower line, two on both."""
    places = ys if len(notes) > 1 or bold else ys[1:]
    return "".join(
        text(note, right, y, SMALL, colours[n], bold=bold and n == 0, anchor="end")
        for n, (note, y) in enumerate(zip(notes, places, strict=False))
    )


def _verdict(view: WallView, palette: Palette) -> str:
    line = view.verdict
    left = MARGIN
    right = WIDTH - MARGIN
    drawn = [_frame(view.form, palette)]
    ink, note = palette.ink, palette.soft
    match view.form:
        case Form.BAR:
            ink = note = palette.bar_ink
        case Form.OUTLINE:
            ink = note = palette.watch
        case Form.PLATE:
            ink = note = palette.not_live
            right = 1226.0
        case Form.PLAIN:
            pass
    if line.sign is not None:
        size = 96.0 if view.form is Form.BAR else 88.0
        drawn.append(sign(line.sign, 44, 82 - size / 2 + 4, size, ink))
        left = 166.0 if view.form is Form.BAR else 154.0
    words, notes = words_that_fit(line, left, right, VERDICT, bold=True)
    drawn.append(text(words, left, 126, VERDICT, ink, bold=True))
    first = ink if view.form is not Form.PLAIN else palette.ink
    drawn.append(_notes(notes, right, (60, 114), (first, note), bold=True))
    return "".join(drawn)


def _frame(form: Form, palette: Palette) -> str:
    match form:
        case Form.PLAIN:
            return ""
        case Form.BAR:
            edge = palette.bar_edge
            top = rect(0, 0, WIDTH, 8, edge) if edge else ""
            return rect(0, 0, WIDTH, 154, palette.bar) + top
        case Form.OUTLINE:
            return rect(6, 6, WIDTH - 12, 144, palette.paper, stroke=palette.watch, stroke_width=12)
        case Form.PLATE:
            hatched = rect(0, 0, WIDTH, 154, "url(#silent)")
            plate = rect(
                36, 11, WIDTH - 72, 134, palette.paper, stroke=palette.not_live, stroke_width=5
            )
            return hatched + plate


def _line(
    line: WallLine,
    palette: Palette,
    *,
    y: float,
    notes_y: tuple[float, float],
    mark_room: float = 0.0,
) -> str:
    left, right = MARGIN - 4, WIDTH - MARGIN
    drawn = []
    if line.sign is not None:
        colour = _sign_colour(line, palette)
        drawn.append(sign(line.sign, 38, y - 72, 76, colour))
        left = 136.0
    words, notes = words_that_fit(line, left, right - mark_room, BIG, bold=False)
    drawn.append(text(words, left, y, BIG, palette.ink))
    drawn.append(_notes(notes, right, notes_y, (palette.soft, palette.soft), bold=False))
    return "".join(drawn)


def _sign_colour(line: WallLine, palette: Palette) -> str:
    kind = (line.sign or "").split(maxsplit=1)[0]
    return {"act": palette.act, "watch": palette.watch}.get(kind, palette.not_live)


def _third(view: WallView, palette: Palette) -> str:
    entry = view.rail.next
    if not view.mark_next or entry is None:
        return _line(view.third, palette, y=535, notes_y=(485, 535))
    notes = view.third.notes
    x = WIDTH - MARGIN - _widest(notes, bold=False) - 62
    mark = due_mark(entry.due.kind, x, 495, 84, palette.ink)
    return mark + _line(view.third, palette, y=535, notes_y=(485, 535), mark_room=120)


def _channel(view: WallView, palette: Palette) -> str:
    top, bottom = CHANNEL
    if view.channel is None:
        return rect(0, top, WIDTH, bottom - top, "url(#silent)")
    channel = view.channel
    local = channel.now.astimezone(view.rail.zone)
    since = channel.since.astimezone(view.rail.zone)
    ticks = hour_ticks(since, local + timedelta(hours=16), 6)
    return wall_channel(
        channel,
        palette,
        top=top,
        bottom=bottom,
        now_x=NOW_X,
        width=WIDTH,
        ticks=ticks,
        cut=view.cut,
    )
