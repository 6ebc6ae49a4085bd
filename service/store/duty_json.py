"""How a duty's schedule, rota and lists stand in columns: as JSON that a person can read. Pure.

``{"kind": "every days", "days": 14, "first": "2026-03-01"}`` and the like.
"""

import json
from collections.abc import Mapping, Sequence
from datetime import date, time
from typing import Any

from service.climate.food_clock import Keeping, KeepsTo
from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    EveryDays,
    OnWarmDay,
    RotaStep,
    Schedule,
    Visit,
    Weekday,
)
from service.nests.stage import Stage

_CALENDAR, _EVERY_DAYS, _STAGE, _WARM = "by calendar", "every days", "by stage", "on warm day"
_SOURS = "before it sours"


def schedule_text(schedule: Schedule) -> str:
    """One JSON object, named by its ``kind``."""
    return json.dumps(_told(schedule))


def _told(schedule: Schedule) -> dict[str, object]:
    if isinstance(schedule, ByCalendar):
        days = [day.name.lower() for day in sorted(schedule.weekdays)]
        return {"kind": _CALENDAR, "weekdays": days}
    if isinstance(schedule, EveryDays):
        return {"kind": _EVERY_DAYS, "days": schedule.days, "first": schedule.first.isoformat()}
    if isinstance(schedule, ByStage):
        stages = [stage.value for stage in Stage if stage in schedule.stages]
        return {"kind": _STAGE, "stages": stages, "every": schedule.every}
    if isinstance(schedule, BeforeItSours):
        return {
            "kind": _SOURS,
            "put_out": f"{schedule.put_out:%H:%M}",
            "stages": [stage.value for stage in Stage if stage in schedule.stages],
            **_kept(schedule.keeping),
        }
    return {"kind": _WARM, "over_c": schedule.over_c, "every_h": schedule.every_h}


def schedule_of(text: str) -> Schedule:
    """The inverse of ``schedule_text``."""
    told: Mapping[str, Any] = json.loads(text)
    kind = told["kind"]
    if kind == _CALENDAR:
        return ByCalendar(weekdays=frozenset(Weekday[day.upper()] for day in told["weekdays"]))
    if kind == _EVERY_DAYS:
        return EveryDays(days=told["days"], first=date.fromisoformat(told["first"]))
    if kind == _STAGE:
        return ByStage(stages=frozenset(map(Stage, told["stages"])), every=told["every"])
    if kind == _WARM:
        return OnWarmDay(over_c=float(told["over_c"]), every_h=float(told["every_h"]))
    if kind == _SOURS:
        return BeforeItSours(
            put_out=time.fromisoformat(told["put_out"]),
            stages=frozenset(map(Stage, told["stages"])),
            keeping=_keeping(told),
        )
    raise ValueError(f"{kind!r} is no kind of schedule")


def _kept(keeping: Keeping) -> dict[str, object]:
    steps = [{"up_to_c": step.up_to_c, "hours": step.hours} for step in keeping.steps]
    return {"keeps": steps, "hotter_h": keeping.hotter_h}


def _keeping(told: Mapping[str, Any]) -> Keeping:
    steps = (KeepsTo(up_to_c=float(s["up_to_c"]), hours=float(s["hours"])) for s in told["keeps"])
    return Keeping(steps=tuple(steps), hotter_h=float(told["hotter_h"]))


def rota_text(rota: Sequence[RotaStep]) -> str:
    """A list of steps, each with its words and days."""
    steps = [{"words": step.words, "days": step.days} for step in rota]
    return json.dumps(steps, ensure_ascii=False)


def rota_of(text: str) -> tuple[RotaStep, ...]:
    """The inverse of ``rota_text``."""
    return tuple(RotaStep(words=step["words"], days=step["days"]) for step in json.loads(text))


def visits_text(visits: Sequence[Visit]) -> str:
    """A list of their words."""
    return json.dumps([visit.value for visit in visits])


def visits_of(text: str) -> tuple[Visit, ...]:
    """The inverse of ``visits_text``."""
    return tuple(map(Visit, json.loads(text)))
