"""The wall as a drawing: words fit, letters have three sizes, nothing is markup but ours."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from dashboards.marks.text_width import text_width
from dashboards.marks.wall import BIG, SMALL, VERDICT, WIDTH, wall_picture, words_that_fit
from dashboards.views.alarm_words import words_of
from dashboards.views.wall_view import WallLine, WallView
from devices.reading import Quantity
from service.alarms.suppression import SuppressionKind
from service.nests.due import Due, DueKind
from service.rules.limit import Limit, Priority
from service.settings.away import with_sensors_away
from tests.dashboards.filled_shed import NOW
from tests.dashboards.views.walls import alarm, set_up_with, wall_of

SVG = "{http://www.w3.org/2000/svg}"
EVERY_LIMIT = [
    Limit(id=f"{quantity}-{side}", place="shed", quantity=quantity, **{side: 1.0})  # type: ignore[arg-type]
    for quantity in Quantity
    for side in ("low", "high")
]


def words(picture: str) -> list[tuple[str, float, float, float, bool, str]]:
    """(text, x, y, size, bold, anchor) of each line of words."""
    return [
        (
            "".join(one.itertext()),
            float(one.attrib["x"]),
            float(one.attrib["y"]),
            float(one.attrib["font-size"]),
            one.attrib.get("font-weight") == "700",
            one.attrib.get("text-anchor", "start"),
        )
        for one in ET.fromstring(picture).iter(f"{SVG}text")
    ]


STATES: dict[str, WallView] = {
    "well": wall_of(),
    "act": wall_of(alarm("cold")),
    "act box": wall_of(alarm("cold", place="box-2")),
    "two": wall_of(alarm("cold"), alarm("damp")),
    "watch": wall_of(alarm("dry", priority=Priority.MEDIUM)),
    "silent": wall_of(skip=("th-2",)),
    "silent, long name": wall_of(
        skip=("th-2",), set_up=set_up_with(box_name="The box {n} by the door")
    ),
    "not live": wall_of(trouble="watch stopped"),
    "act, not live": wall_of(alarm("cold"), trouble="watch stopped"),
    "shelved": wall_of(replace(alarm("cold", place="box-2"), suppressed=SuppressionKind.SHELVED)),
    "no limits": wall_of(set_up=set_up_with(limits=())),
    "night": wall_of(night=True),
    "shed in the jar": wall_of(set_up=with_sensors_away(set_up_with(), {"th-shed"})),
    "box in the jar": wall_of(set_up=with_sensors_away(set_up_with(), {"th-2"})),
}


@pytest.mark.parametrize("name", STATES)
def test_words_in_one_row_never_touch(name: str) -> None:
    rows: dict[float, list[tuple[float, float, str]]] = {}
    for text, x, y, size, bold, anchor in words(wall_picture(STATES[name])):
        if y > 540:
            continue
        width = text_width(text, size, bold=bold)
        left = x - width if anchor == "end" else x
        rows.setdefault(y, []).append((left, left + width, text))
    for row in rows.values():
        row.sort()
        for one, other in pairwise(row):
            assert one[1] < other[0], (one, other)
        assert row[0][0] >= 30
        assert row[-1][1] <= WIDTH - 39


@pytest.mark.parametrize("name", STATES)
def test_the_verdict_leaves_the_notes_their_room(name: str) -> None:
    found = words(wall_picture(STATES[name]))
    verdict = next(one for one in found if one[3] == VERDICT)
    right = verdict[1] + text_width(verdict[0], VERDICT, bold=True)
    for text, x, y, size, bold, anchor in found:
        if y in (60.0, 114.0) and anchor == "end":
            assert right <= x - text_width(text, size, bold=bold)


@pytest.mark.parametrize("name", STATES)
def test_letters_have_three_sizes_and_those_of_tags(name: str) -> None:
    sizes = {one[3] for one in words(wall_picture(STATES[name]))}
    assert sizes <= {VERDICT, BIG, SMALL, 43.0, 38.0}


@pytest.mark.parametrize("limit", EVERY_LIMIT, ids=lambda limit: limit.id)
def test_every_verdict_of_a_limit_is_short_and_fits_beside_its_notes(limit: Limit) -> None:
    said = words_of(limit)
    assert len(said.verdict) <= 12
    line = WallLine(
        sentences=(said.verdict,),
        notes=("23:36, act now", said.advice),
        short_notes=("23:36", "act now"),
        bold=True,
    )
    sentence, notes = words_that_fit(line, 166, 1240, VERDICT, bold=True)
    assert sentence == said.verdict
    assert len(notes) == 2


def test_a_name_that_is_too_long_gives_way_to_the_next_sentence() -> None:
    line = WallLine(sentences=("The box by the door silent", "One silent"), notes=("a", "b"))
    assert words_that_fit(line, 154, 1226, VERDICT, bold=True)[0] == "One silent"


@pytest.mark.parametrize("boxes", [1, 9, 24, 40])
def test_tags_stay_on_the_wall_and_none_hides_another(boxes: int) -> None:
    dues = tuple(
        Due(
            kind=DueKind.HATCH,
            box=f"box-{n}",
            egg_number=1,
            since=NOW + timedelta(hours=7 * n),
            until=NOW + timedelta(hours=7 * n + 20),
            why="",
        )
        for n in range(boxes)
        if n
    )
    picture = ET.fromstring(wall_picture(wall_of(set_up=set_up_with(boxes), dues=dues)))
    tags = [
        (float(r.attrib["x"]), float(r.attrib["y"]), float(r.attrib["width"]))
        for r in picture.iter(f"{SVG}rect")
        if float(r.attrib["height"]) in (40.0, 52.0)
    ]
    assert bool(tags) is (boxes > 1)
    for n, (x, y, width) in enumerate(tags):
        assert x >= 38
        assert x + width <= 1242
        assert y + 40 <= 800
        for other in tags[n + 1 :]:
            assert other[1] != y or abs(other[0] - x) >= width


def test_only_one_tag_is_filled() -> None:
    dues = tuple(
        Due(
            kind=DueKind.RING,
            box=f"box-{n}",
            egg_number=1,
            since=NOW,
            until=NOW + timedelta(hours=n),
            why="",
        )
        for n in (1, 2, 3)
    )
    picture = ET.fromstring(wall_picture(wall_of(dues=dues)))
    filled = [
        r
        for r in picture.iter(f"{SVG}rect")
        if r.attrib["height"] in ("40", "52") and r.attrib["fill"] == "#1A1B1A"
    ]
    assert len(filled) == 1


def test_names_are_words_and_never_markup() -> None:
    evil = "<script>alert(1)</script>"
    view = wall_of(skip=("th-2",), set_up=set_up_with(box_name=evil + " {n}"))
    assert "<script" not in wall_picture(view)
    ET.fromstring(wall_picture(view))


def test_grey_is_all_there_is_when_all_is_well() -> None:
    colours = set(re.findall(r"#[0-9A-F]{6}", wall_picture(wall_of())))
    for colour in colours - {"#2B3F80"}:  # the hatch lies ready in the definitions, unused
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        assert max(red, green, blue) - min(red, green, blue) <= 4
