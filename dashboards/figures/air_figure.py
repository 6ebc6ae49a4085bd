"""The air of a nest in detail, as a figure that can be zoomed: a plain dictionary. Pure.

The plotting library takes some text for markup, so names are escaped here. Gaps are told as
None, which breaks a line: nothing is joined across them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape
from typing import TypeAlias
from zoneinfo import ZoneInfo

from dashboards.marks.palette import Palette
from dashboards.views.channel_view import LightSpan
from service.rules.limit import Limit
from service.store.reading_store import Bucket

Json: TypeAlias = (
    "bool | int | float | str | list[Json] | dict[str, Json] | None"  # what JSON can hold
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSeries:
    """Buckets of one quantity; ``width`` is theirs.

    Without ``ranges`` they are means alone, and nothing is drawn from lowest to highest.
    """

    temperature: Sequence[Bucket]
    humidity: Sequence[Bucket]
    width: timedelta
    max_gap: timedelta
    ranges: bool = True


def air_figure(
    series: AirSeries,
    light: Sequence[LightSpan],
    limits: Sequence[Limit],
    *,
    place_name: str,
    zone: ZoneInfo,
    palette: Palette,
) -> dict[str, Json]:
    """Temperature with its range above, humidity below, dark times as grey ground."""
    whose = escape(place_name)
    traces: list[Json] = [
        *_bands(series.temperature, series, zone, palette, "y"),
        _line(series.temperature, series, zone, colour=palette.ink, name=f"{whose}, °C", axis="y"),
        _line(series.humidity, series, zone, colour=palette.edge, name=f"{whose}, %", axis="y2"),
    ]
    return {"data": traces, "layout": _layout(light, limits, zone, palette)}


def _local(at: datetime, zone: ZoneInfo) -> str:
    """Local wall time without an offset: what the axis shows."""
    return at.astimezone(zone).strftime("%Y-%m-%d %H:%M:%S")


def _points(
    buckets: Sequence[Bucket], series: AirSeries, zone: ZoneInfo
) -> list[tuple[str, Bucket | None]]:
    """Middles of the buckets, with a break wherever readings are missing for too long."""
    found: list[tuple[str, Bucket | None]] = []
    last: Bucket | None = None
    for bucket in buckets:
        if last is not None and bucket.start - last.start - series.width > series.max_gap:
            found.append((_local(last.start + series.width, zone), None))
        found.append((_local(bucket.start + series.width / 2, zone), bucket))
        last = bucket
    return found


def _line(
    buckets: Sequence[Bucket],
    series: AirSeries,
    zone: ZoneInfo,
    *,
    colour: str,
    name: str,
    axis: str,
) -> dict[str, Json]:
    points = _points(buckets, series, zone)
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": [at for at, _ in points],
        "y": [None if bucket is None else round(bucket.mean, 3) for _, bucket in points],
        "line": {"color": colour, "width": 3},
        "connectgaps": False,
        "yaxis": axis,
        "hovertemplate": "%{y:.1f}",
        "showlegend": False,
    }


def _bands(
    buckets: Sequence[Bucket],
    series: AirSeries,
    zone: ZoneInfo,
    palette: Palette,
    axis: str,
) -> list[Json]:
    """From the lowest to the highest value of each bucket, anew after each gap: the plotting
    library fills across one.
    """
    stretches: list[list[tuple[str, Bucket]]] = [[]]
    for at, bucket in _points(buckets, series, zone) if series.ranges else ():
        if bucket is None:
            stretches.append([])
        else:
            stretches[-1].append((at, bucket))
    return [edge for one in stretches if one for edge in _edges(one, palette, axis)]


def _edges(points: Sequence[tuple[str, Bucket]], palette: Palette, axis: str) -> list[Json]:
    edges: list[Json] = []
    for filled, pick in ((False, "minimum"), (True, "maximum")):
        edges.append(
            {
                "type": "scatter",
                "mode": "lines",
                "x": [at for at, _ in points],
                "y": [round(float(getattr(bucket, pick)), 3) for _, bucket in points],
                "line": {"width": 0, "color": palette.bank},
                "fill": "tonexty" if filled else "none",
                "fillcolor": palette.bank,
                "yaxis": axis,
                "hoverinfo": "skip",
                "showlegend": False,
            }
        )
    return edges


def _layout(
    light: Sequence[LightSpan], limits: Sequence[Limit], zone: ZoneInfo, palette: Palette
) -> dict[str, Json]:
    axis: dict[str, Json] = {
        "gridcolor": palette.bank,
        "zeroline": False,
        "linecolor": palette.edge,
        "fixedrange": False,
    }
    shapes: list[Json] = [
        *(_dark(span, zone, palette) for span in light if not span.bright),
        *(_limit(limit, palette) for limit in limits if limit.quantity.value in _AXES),
    ]
    return {
        "paper_bgcolor": palette.paper,
        "plot_bgcolor": palette.light_ground,
        "font": {
            "family": "Atkinson Hyperlegible, DejaVu Sans Condensed, Arial, sans-serif",
            "size": 18,
            "color": palette.ink,
        },
        "margin": {"l": 74, "r": 16, "t": 16, "b": 60},
        "hovermode": "x unified",
        "hoverlabel": {"bgcolor": palette.paper, "font": {"color": palette.ink}},
        "xaxis": {**axis, "type": "date", "anchor": "y2"},
        "yaxis": {**axis, "domain": [0.42, 1.0], "title": {"text": "°C"}},
        "yaxis2": {**axis, "domain": [0.0, 0.36], "title": {"text": "% damp"}},
        "shapes": shapes,
        "showlegend": False,
        "dragmode": "zoom",
    }


_AXES = {"temperature": "y", "relative_humidity": "y2"}


def _dark(span: LightSpan, zone: ZoneInfo, palette: Palette) -> dict[str, Json]:
    return {
        "type": "rect",
        "xref": "x",
        "yref": "paper",
        "x0": _local(span.since, zone),
        "x1": _local(span.until, zone),
        "y0": 0,
        "y1": 1,
        "layer": "below",
        "line": {"width": 0},
        "fillcolor": palette.dark_ground,
    }


def _limit(limit: Limit, palette: Palette) -> dict[str, Json]:
    return {
        "type": "line",
        "xref": "paper",
        "yref": _AXES[limit.quantity.value],
        "x0": 0,
        "x1": 1,
        "y0": limit.setpoint,
        "y1": limit.setpoint,
        "line": {"color": palette.edge, "width": 2, "dash": "dash"},
    }
