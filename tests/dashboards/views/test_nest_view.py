"""A nest's page says the same in its picture and in its table."""

import xml.etree.ElementTree as ET
from datetime import timedelta

from dashboards.marks.nest_days import nest_days
from dashboards.marks.nest_lines import nest_picture
from dashboards.marks.palette import DAY
from dashboards.views.nest_view import NestView, nest_view
from service.nests.due import DueKind
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed

SVG = "{http://www.w3.org/2000/svg}"


def view_of(shed: FilledShed, box: str) -> NestView:
    book = shed.records.nest_book
    return nest_view(book.nest(box), book.species(), None, NOW, ZONE)


def test_each_egg_has_one_line_and_one_row(shed: FilledShed) -> None:
    view = view_of(shed, "box-1")
    assert view.picture is not None
    assert [row.number for row in view.rows] == [one.number for one in view.picture.eggs]
    assert len(view.rows) == 5


def test_the_summary_says_what_is_there_and_what_comes_next(shed: FilledShed) -> None:
    assert view_of(shed, "box-1").summary.startswith("5 eggs, ")
    assert "Next: " in view_of(shed, "box-1").summary


def test_an_empty_box_has_no_picture_and_no_day_to_set(shed: FilledShed) -> None:
    view = view_of(shed, "box-4")
    assert view.picture is None
    assert view.sits_on is None
    assert view.summary == "Empty."


def test_each_egg_that_lies_there_has_its_hatch_drawn(shed: FilledShed) -> None:
    picture = view_of(shed, "box-1").picture
    assert picture is not None
    for one in picture.eggs:
        assert [due.kind for due in one.dues] == [DueKind.HATCH]
        assert one.dues[0].since < one.dues[0].until


def test_the_axis_holds_every_span_that_is_drawn(shed: FilledShed) -> None:
    picture = view_of(shed, "box-1").picture
    assert picture is not None
    assert picture.since <= min(one.laid for one in picture.eggs)
    assert picture.until > max(due.until for one in picture.eggs for due in one.dues)
    assert picture.until > NOW + timedelta(days=3)


def test_both_pictures_number_every_egg(shed: FilledShed) -> None:
    picture = view_of(shed, "box-1").picture
    assert picture is not None
    for drawn in (nest_picture(picture, DAY), nest_days(picture, DAY)):
        root = ET.fromstring(drawn)
        numbers = {text.text for text in root.iter(f"{SVG}text")}
        assert {"1", "2", "3", "4", "5"} <= numbers
        assert root.attrib["aria-label"].startswith("Box 1")
