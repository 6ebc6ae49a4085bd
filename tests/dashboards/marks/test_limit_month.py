"""The month beside a limit, as a picture: read back out of its marks."""

import re
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

from dashboards.marks.limit_month import Led, month_picture
from devices.reading import Quantity
from service.answers.limit_what_if import DayRange, WouldHave
from service.rules.limit import Limit
from service.rules.what_if import Spell

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
MONTH = timedelta(days=30)
ACT = "var(--act)"


def led(name: str, low: float, *spells: Spell) -> Led:
    limit = Limit(id="x", place="shed", quantity=Quantity.TEMPERATURE, low=low)
    would = WouldHave(since=NOW - MONTH, until=NOW, heard=MONTH, spells=spells)
    return Led(name=name, limit=limit, would=would)


def days(*least: float) -> list[DayRange]:
    last = date(2026, 4, 21)
    return [
        DayRange(day=last - timedelta(days=nth), least=low, most=low + 6)
        for nth, low in enumerate(least)
    ]


def drawn(found: str) -> ET.Element:
    return ET.fromstring(found)


def of_colour(found: str, colour: str) -> list[ET.Element]:
    return [one for one in drawn(found).iter() if one.get("fill") == colour]


def test_only_the_days_beyond_the_first_setpoint_are_marked() -> None:
    found = month_picture(days(4, 6, 3, 5), [led("now", 5.0), led("usual", 6.5)], ZONE, "°", "w")
    assert len(of_colour(found, ACT)) == 2


def test_each_terms_have_a_lane_with_a_bar_for_each_time() -> None:
    spell = Spell(since=NOW - timedelta(days=10), until=NOW - timedelta(days=9), worst=3.0)
    still = Spell(since=NOW - timedelta(hours=1), until=None, worst=3.0)
    found = month_picture(
        days(4), [led("typed", 6.0, spell, still), led("now", 5.0)], ZONE, "°", ""
    )
    bars = [one for one in drawn(found).iter() if one.get("height") == "14"]
    assert len(bars) == 2
    assert all(float(one.get("width", "0")) >= 3 for one in bars)
    words = re.findall(r">([^<]+)</text>", found)
    assert [one for one in words if one in {"typed", "now"}] == ["typed", "now"]
    assert words[0] == "6°"


def test_nothing_lies_beyond_the_paper() -> None:
    before = Spell(since=NOW - MONTH, until=NOW - 29 * timedelta(days=1), worst=-3.0)
    found = month_picture(days(-3, 40), [led("typed", 45.0, before)], ZONE, "°", "w")
    width, height = (float(one) for one in str(drawn(found).get("viewBox")).split()[2:])
    for one in drawn(found).iter("rect"):
        assert float(one.get("x", "0")) >= 0
        assert float(one.get("x", "0")) + float(one.get("width", "0")) <= width
        assert float(one.get("y", "0")) + float(one.get("height", "0")) <= height


def test_without_a_day_that_is_known_there_is_no_picture() -> None:
    assert month_picture([], [led("now", 5.0)], ZONE, "°", "w") == ""
