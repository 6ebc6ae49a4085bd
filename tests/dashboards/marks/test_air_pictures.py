"""The pictures of the air: nothing leaves the paper, and nothing is joined across a gap."""

import itertools
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree as ET

import pytest

from dashboards.marks.air_channel import Tick, air_channel
from dashboards.marks.day_widths import day_widths_picture
from dashboards.marks.night_lows import night_lows_picture
from dashboards.views.ahead import Ahead
from dashboards.views.air_days import DayWidth
from dashboards.views.air_nights import NightLow
from dashboards.views.banks import AirLimits, AirMoment
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import day_short

FIRST = date(2026, 3, 3)
NOW = datetime(2026, 3, 3, 21, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = pytest.mark.parametrize("width", [358.0, 1190.0])


def drawn(picture: str) -> ET.Element:
    root = ET.fromstring(picture)
    _, _, width, height = (float(one) for one in root.attrib["viewBox"].split())
    for one in root.iter():
        for key, most in (("x", width), ("x1", width), ("x2", width), ("cx", width)):
            assert 0 <= float(one.attrib.get(key, 0)) <= most, one.attrib
        for key in ("y", "y1", "y2", "cy"):
            assert 0 <= float(one.attrib.get(key, 0)) <= height, one.attrib
    return root


def letters(root: ET.Element) -> set[str]:
    return {one.text or "" for one in root.iter(f"{SVG}text")}


def paths(root: ET.Element, **attributes: str) -> list[ET.Element]:
    return [
        one
        for one in root.iter(f"{SVG}path")
        if all(one.attrib.get(key) == value for key, value in attributes.items())
    ]


def low(later: int, low_c: float | None, **changed: object) -> NightLow:
    made = {"whole": True, "damp_h": 0.0, "wet_h": 0.0, **changed}
    return NightLow(evening=FIRST + timedelta(days=later), low_c=low_c, **made)  # type: ignore[arg-type]


@WIDTHS
def test_the_thread_of_nights_breaks_where_one_is_unknown(width: float) -> None:
    nights = [low(0, 8), low(1, 7), low(2, None), low(3, 6), low(4, 9)]
    last = FIRST + timedelta(days=4)
    root = drawn(night_lows_picture(nights, FIRST, last, 5.0, "words", width=width))
    assert len(paths(root, fill="none")) == 2
    grounds = [one for one in root.iter(f"{SVG}rect") if one.attrib["fill"] == "var(--dark)"]
    assert len(grounds) == 2  # between them the paper of the unknown night is bare


def test_a_night_in_part_unmeasured_has_a_hollow_bead() -> None:
    nights = [low(0, 8), low(1, 7, whole=False)]
    picture = night_lows_picture(nights, FIRST, FIRST + timedelta(days=1), 5.0, "words", width=1190)
    beads = [one for one in drawn(picture).iter(f"{SVG}circle") if float(one.attrib["r"]) > 3]
    assert [one.attrib["fill"] for one in beads] == ["var(--ink)", "var(--paper)"]


def test_a_night_below_the_limit_has_its_sag_filled_and_no_other_has_colour() -> None:
    nights = [low(0, 8), low(1, 3)]
    picture = night_lows_picture(nights, FIRST, FIRST + timedelta(days=1), 5.0, "words", width=1190)
    coloured = [one for one in drawn(picture).iter() if "var(--act)" in one.attrib.values()]
    assert {one.tag for one in coloured} == {f"{SVG}line", f"{SVG}circle"}
    assert len(coloured) == 2


def test_water_that_nobody_could_tell_is_said_to_be_unknown() -> None:
    nights = [low(n, 8, wet_h=None) for n in range(30)]
    last = FIRST + timedelta(days=29)
    root = drawn(night_lows_picture(nights, FIRST, last, None, "words", width=1190))
    assert "not known" in letters(root)


def test_a_night_without_an_hour_too_damp_has_a_dot_and_an_unknown_one_nothing() -> None:
    nights = [low(0, 8), low(1, 8, damp_h=None), low(2, 8, damp_h=4.0)]
    last = FIRST + timedelta(days=2)
    root = drawn(night_lows_picture(nights, FIRST, last, 5.0, "words", width=1190))
    damp = [one for one in root.iter(f"{SVG}circle") if one.attrib["fill"] == "var(--edge)"]
    # One of the damp lane, and all three nights were dry of water.
    assert len(damp) == 1 + 3


def width_of(later: int, **changed: object) -> DayWidth:
    made = {
        "low_c": 6.0,
        "high_c": 14.0,
        "damp_low_pct": 50.0,
        "damp_high_pct": 70.0,
        "share": 1.0,
        **changed,
    }
    return DayWidth(day=FIRST + timedelta(days=later), **made)  # type: ignore[arg-type]


@WIDTHS
def test_a_year_is_drawn_with_a_month_missing_bare(width: float) -> None:
    days = [width_of(n, low_c=6.0 + n % 7) for n in range(365) if not 100 <= n < 130]
    limits = AirLimits(cold_c=5.0, hot_c=28.0, damp_pct=80.0, dry_pct=40.0)
    last = FIRST + timedelta(days=364)
    root = drawn(day_widths_picture(days, FIRST, last, limits, "words", width=width))
    assert len(paths(root, fill="var(--edge)")) == 4  # two stretches of each quantity


def test_a_day_in_a_bank_is_filled() -> None:
    days = [width_of(0), width_of(1, low_c=2.0), width_of(2, damp_high_pct=90.0)]
    limits = AirLimits(cold_c=5.0, damp_pct=80.0)
    last = FIRST + timedelta(days=2)
    root = drawn(day_widths_picture(days, FIRST, last, limits, "words", width=1190))
    filled = [one for one in root.iter(f"{SVG}rect") if one.attrib["fill"] == "var(--act)"]
    assert len(filled) == 2


def channel(ahead: Ahead | None = None) -> ChannelView:
    moments = [
        AirMoment(
            at=NOW - timedelta(hours=30 - n), temperature_c=8.0 + n % 4, low_c=5.0, high_c=28.0
        )
        for n in range(31)
    ]
    return ChannelView(
        place="shed",
        place_name="Hazel shed",
        since=NOW - timedelta(hours=30),
        now=NOW,
        strands=(tuple(moments[:10]), tuple(moments[14:])),
        latest=moments[-1],
        ahead=ahead,
    )


@WIDTHS
def test_the_thread_breaks_at_a_gap_and_words_of_hours_never_overlap(width: float) -> None:
    ticks = [Tick(at=NOW - timedelta(hours=n), words=day_short(FIRST)) for n in range(30, -1, -1)]
    root = drawn(air_channel(channel(), NOW, ticks, "words", width=width))
    assert len(paths(root, **{"stroke": "var(--ink)", "stroke-linecap": "round"})) == 2
    places = [float(one.attrib["x"]) for one in root.iter(f"{SVG}text") if one.text == "3 Mar"]
    assert all(other - one > 45 for one, other in itertools.pairwise(places))


def test_what_is_expected_lies_right_of_now() -> None:
    until = NOW + timedelta(hours=9)
    ahead = Ahead(
        place="shed",
        since=NOW,
        until=until,
        low_c=3.0,
        middle_c=5.0,
        high_c=7.0,
        low_at=NOW + timedelta(hours=8),
        from_c=10.0,
        cold_c=5.0,
    )
    without = air_channel(channel(), until, (), "words", width=1190)
    told = air_channel(channel(ahead), until, (), "words", width=1190)
    assert told.count("<path") > without.count("<path")


def test_water_that_may_have_been_is_an_outline_and_no_dot() -> None:
    nights = [low(0, 8, wet_h=0.0, wet_may_h=10.0)]
    root = drawn(night_lows_picture(nights, FIRST, FIRST, 5.0, "words", width=1190))
    outlined = [one for one in root.iter(f"{SVG}rect") if one.attrib["fill"] == "none"]
    assert [float(one.attrib["height"]) for one in outlined] == [40.0]
    dots = [one for one in root.iter(f"{SVG}circle") if one.attrib["fill"] == "var(--edge)"]
    assert len(dots) == 1  # that of the damp lane


def test_without_a_damp_limit_nothing_is_drawn_of_too_damp() -> None:
    nights = [low(0, 8, damp_h=None)]
    picture = night_lows_picture(nights, FIRST, FIRST, 5.0, "words", width=358, damp_limit=False)
    assert "too damp" not in letters(drawn(picture))
