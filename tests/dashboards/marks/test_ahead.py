"""What is expected is drawn as a width and an outline, and never as what happened."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from dashboards.marks.ahead import ahead_of_now
from dashboards.marks.channel import Frame, wall_channel
from dashboards.marks.palette import DAY, NIGHT, Palette, contrast, mixed
from dashboards.views.ahead import Ahead
from dashboards.views.channel_view import ChannelView
from tests.dashboards.views.test_ahead import BY_DAY, DUSK, HOUR, IN_THE_NIGHT

COLD = replace(IN_THE_NIGHT, cold_c=5.0, hot_c=28.0, crosses=True)
FRAME = Frame(
    left=0,
    right=1280,
    top=288,
    bottom=429,
    since=DUSK - 12 * HOUR,
    until=DUSK + 14 * HOUR,
    low_c=0,
    high_c=20,
)


def colours(drawn: str, attribute: str) -> set[str]:
    return set(re.findall(rf'{attribute}="(#[0-9A-F]{{6}})"', drawn))


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=["day", "night"])
def test_a_likely_crossing_is_an_outline_in_the_watch_colour_and_no_fill(palette: Palette) -> None:
    drawn = ahead_of_now(COLD, FRAME, palette)
    assert palette.watch in colours(drawn, "stroke")
    assert colours(drawn, "fill").isdisjoint({palette.watch, palette.act})
    calm = ahead_of_now(replace(COLD, crosses=False), FRAME, palette)
    assert palette.watch not in calm


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=["day", "night"])
def test_the_width_is_seen_on_the_paper_and_is_fainter_than_the_thread(palette: Palette) -> None:
    width = mixed(palette.ink, palette.paper, 0.38)
    assert f'fill="{width}"' in ahead_of_now(COLD, FRAME, palette)
    assert 1.5 < contrast(width, palette.paper) < contrast(palette.ink, palette.paper)


def test_banks_ahead_are_dashed_and_one_beyond_the_picture_is_not_drawn() -> None:
    drawn = ahead_of_now(COLD, FRAME, DAY)
    assert drawn.count("stroke-dasharray") == 1  # 28 degrees lie above the picture
    assert "stroke-dasharray" not in ahead_of_now(BY_DAY, FRAME, DAY)


def test_the_bead_is_left_out_where_nobody_knows_the_hour() -> None:
    assert "<circle" in ahead_of_now(COLD, FRAME, DAY)
    assert "<circle" not in ahead_of_now(replace(COLD, low_at=None), FRAME, DAY)


def channel(ahead: Ahead | None, *, cut: bool) -> str:
    view = ChannelView(
        place="shed", place_name="Shed", since=DUSK - 12 * HOUR, now=DUSK, ahead=ahead
    )
    return wall_channel(view, DAY, top=288, bottom=429, now_x=563.2, width=1280, ticks=(), cut=cut)


def test_where_nothing_is_heard_tonight_is_gone() -> None:
    assert DAY.watch in channel(COLD, cut=False)
    assert channel(COLD, cut=True) == channel(None, cut=True)


def test_a_crossing_that_lies_beyond_what_is_expected_draws_nothing() -> None:
    mild = replace(COLD, low_c=6.0, middle_c=7.0, high_c=8.0, since=DUSK + timedelta(hours=1))
    assert DAY.watch not in ahead_of_now(mild, FRAME, DAY)
