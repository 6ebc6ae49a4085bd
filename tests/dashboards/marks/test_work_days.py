"""The drawing of minutes a day: nothing leaves the paper, and nothing is drawn that is not told."""

from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest

from dashboards.marks.work_days import WorkBar, WorkDays, step_of, work_days

TODAY = date(2026, 3, 2)
SVG = "{http://www.w3.org/2000/svg}"


def bars(number: int, high: float = 60) -> tuple[WorkBar, ...]:
    return tuple(
        WorkBar(day=TODAY + timedelta(days=n), low=high / 2, mean=high * 0.7, high=high)
        for n in range(number)
    )


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("high", [0.0, 0.4, 35.0, 95.0, 700.0])
def test_everything_lies_on_the_paper(upright: bool, high: float) -> None:
    taken = [(TODAY - timedelta(days=n), high) for n in range(1, 15)]
    days = WorkDays(taken=taken, ahead=bars(56, high), supposed=bars(56, 2 * high))
    root = ET.fromstring(work_days(days, "words", upright=upright))
    _, _, width, height = (float(one) for one in root.attrib["viewBox"].split())
    for one in root.iter():
        for key, most in (("x", width), ("x1", width), ("x2", width), ("cx", width)):
            assert 0 <= float(one.attrib.get(key, 0)) <= most
        for key in ("y", "y1", "y2", "cy"):
            assert 0 <= float(one.attrib.get(key, 0)) <= height
        if one.tag == f"{SVG}rect":
            assert float(one.attrib["x"]) + float(one.attrib["width"]) <= width
            assert float(one.attrib["y"]) + float(one.attrib["height"]) <= height


def test_each_day_to_come_is_a_hollow_bar_and_each_timed_day_a_bead() -> None:
    days = WorkDays(taken=[(TODAY - timedelta(days=2), 20.0)], ahead=bars(56))
    root = ET.fromstring(work_days(days, "words"))
    hollow = [one for one in root.iter(f"{SVG}rect") if one.attrib["fill"] == "none"]
    beads = [one for one in root.iter(f"{SVG}circle") if one.attrib["r"] == "4"]
    assert (len(hollow), len(beads)) == (56, 1)


def test_what_is_supposed_is_dashed() -> None:
    days = WorkDays(taken=(), ahead=bars(7), supposed=bars(7))
    root = ET.fromstring(work_days(days, "words"))
    dashed = [one for one in root.iter(f"{SVG}rect") if "stroke-dasharray" in one.attrib]
    assert len(dashed) == 7


def test_picture_says_its_words() -> None:
    told = work_days(WorkDays(taken=(), ahead=bars(7)), "About 30 min & more")
    assert ET.fromstring(told).attrib["aria-label"] == "About 30 min & more"


def test_nothing_to_come_draws_nothing() -> None:
    assert work_days(WorkDays(taken=(), ahead=()), "words") == ""


@pytest.mark.parametrize(
    ("most", "step"), [(10, 15), (75, 15), (76, 30), (300, 60), (301, 120), (9000, 480)]
)
def test_thin_lines_are_few(most: float, step: int) -> None:
    assert step_of(most) == step
