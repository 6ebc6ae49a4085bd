"""What was really the case in a simulated shed: by the hour, and night by night. Pure."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from typing import TypedDict

from simulated_feeds.configuration import NIGHT_LX
from simulated_feeds.scenario import Scenario
from simulated_feeds.shed import STEP, Air, Truth

_SHORTEST_NIGHT = timedelta(hours=1)


class Hour(TypedDict):
    """At a full hour [RFC 3339 UTC]: °C, % and lx; boxes by place."""

    t: str
    shed_c: float
    shed_rh_pct: float
    light_lx: float
    outdoors_c: float
    outdoors_rh_pct: float
    boxes: dict[str, dict[str, float]]


# The keys are those of ``show nights``; ``from`` is no name in Python.
Night = TypedDict(
    "Night",
    {
        "night": str,
        "from": str,
        "to": str,
        "low_c": float,
        "low_at": str,
        "hours_below": dict[str, float],
        "rh_max_pct": float,
    },
)


class Report(TypedDict):
    """All that is known of a stretch of a scenario, for comparison with what was measured."""

    scenario: str
    seed: int
    origin: str
    cold_limit_c: float
    hours: list[Hour]
    nights: list[Night]


def report(scenario: Scenario, found: Iterable[Truth]) -> Report:
    """Full hours and whole nights among truths that are in time order, one a minute.

    A night is the dark time between two bright ones, an hour at least; one that the truths
    cut off at either end is left out.
    """
    truths = list(found)
    return Report(
        scenario=scenario.name,
        seed=scenario.seed,
        origin=_text(scenario.origin),
        cold_limit_c=scenario.cold_limit_c,
        hours=[_hour(truth) for truth in truths if truth.at.minute == 0],
        nights=[_night(scenario, dark) for dark in _dark_times(truths)],
    )


def _dark_times(truths: list[Truth]) -> Iterator[list[Truth]]:
    dark: list[Truth] = []
    seen_light = False
    for truth in truths:
        if truth.light_lx < NIGHT_LX:
            dark.append(truth)
            continue
        if seen_light and len(dark) * STEP >= _SHORTEST_NIGHT:
            yield dark
        dark, seen_light = [], True


def _night(scenario: Scenario, dark: list[Truth]) -> Night:
    lowest = min(dark, key=lambda truth: truth.shed.temperature_c)
    limit = scenario.cold_limit_c
    cold = [truth for truth in dark if truth.shed.temperature_c < limit]
    evening = dark[0].at.astimezone(scenario.zone) - timedelta(hours=12)
    return {
        "night": evening.date().isoformat(),
        "from": _text(dark[0].at),
        "to": _text(dark[-1].at + STEP),
        "low_c": round(lowest.shed.temperature_c, 3),
        "low_at": _text(lowest.at),
        "hours_below": {str(limit): round(len(cold) * STEP / timedelta(hours=1), 3)},
        "rh_max_pct": round(max(truth.shed.humidity_pct for truth in dark), 2),
    }


def _hour(truth: Truth) -> Hour:
    return Hour(
        t=_text(truth.at),
        shed_c=round(truth.shed.temperature_c, 3),
        shed_rh_pct=round(truth.shed.humidity_pct, 2),
        light_lx=round(truth.light_lx, 1),
        outdoors_c=round(truth.outdoors.temperature_c, 3),
        outdoors_rh_pct=round(truth.outdoors.humidity_pct, 2),
        boxes={box: _air(air) for box, air in truth.boxes.items()},
    )


def _air(air: Air) -> dict[str, float]:
    return {"c": round(air.temperature_c, 3), "rh_pct": round(air.humidity_pct, 2)}


def _text(at: datetime) -> str:
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")
