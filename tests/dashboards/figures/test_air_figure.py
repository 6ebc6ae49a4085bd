"""The figure is one that the plotting library accepts, breaks at gaps, and holds no markup."""

from datetime import UTC, datetime, timedelta
from typing import Any

import plotly.graph_objects as go  # type: ignore[import-untyped]
import pytest

from dashboards.figures.air_figure import AirSeries, air_figure
from dashboards.marks.palette import DAY
from dashboards.views.channel_view import LightSpan
from service.store.reading_store import Bucket
from tests.dashboards.filled_shed import ZONE, limits

START = datetime(2026, 4, 20, 0, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def buckets(hours: list[int]) -> list[Bucket]:
    return [
        Bucket(start=START + n * HOUR, minimum=9.0, mean=10.0, maximum=11.0, count=60, coverage=1)
        for n in hours
    ]


def figure(name: str = "Hazel shed", *, ranges: bool = True) -> dict[str, Any]:
    series = AirSeries(
        temperature=buckets([0, 1, 5, 6]),
        humidity=buckets([0, 1]),
        width=HOUR,
        max_gap=timedelta(minutes=3),
        ranges=ranges,
    )
    dark = LightSpan(since=START, until=START + 5 * HOUR, bright=False)
    return air_figure(series, [dark], limits(), place_name=name, zone=ZONE, palette=DAY)


def test_the_plotting_library_accepts_the_figure() -> None:
    made = go.Figure(figure())
    assert len(made.data) == 6
    assert len(made.layout.shapes) == 5


def test_the_figure_breaks_at_a_gap() -> None:
    line = figure()["data"][-2]
    assert line["y"] == [10.0, 10.0, None, 10.0, 10.0]
    assert line["connectgaps"] is False


def test_times_are_those_of_the_shed() -> None:
    assert figure()["data"][-2]["x"][0] == "2026-04-20 02:30:00"


@pytest.mark.parametrize("name", ["<b>x</b>", '<a href="javascript:alert(1)">x</a>'])
def test_a_name_is_no_markup_for_the_plotting_library(name: str) -> None:
    assert "<" not in str(figure(name)["data"][-2]["name"])


def test_the_range_is_drawn_anew_after_a_gap_and_never_across_it() -> None:
    ranges = [one for one in figure()["data"] if one.get("fillcolor")]
    assert len(ranges) == 4
    for one in ranges:
        assert None not in one["y"]


def test_means_alone_have_no_range() -> None:
    assert len(figure(ranges=False)["data"]) == 2
