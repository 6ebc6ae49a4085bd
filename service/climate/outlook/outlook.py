"""The outlook for a night: what is said, when, and why not more. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from enum import StrEnum

from service.climate.outlook.evaluate import (
    Band,
    chance_below,
    chance_of_condensation,
    falls_fast,
    low_band,
)
from service.climate.outlook.features import Issue
from service.climate.outlook.model import DampModel, FallModel, HourModel, OutlookModel
from service.climate.outlook.night_span import NightSpan

LEARNS_FROM, CHANCES_FROM, ALL_FROM = 7, 14, 30
"""Nights after which it tells a low, chances, and everything else."""

MODEL_AGES = timedelta(days=3)
MODEL_TOO_OLD = timedelta(days=14)

STALE_AFTER = timedelta(hours=2)
"""An outlook that was issued longer ago is stale."""

_SURE = 0.995
_CHANGE_IS_NEWS = timedelta(days=14)


class Level(StrEnum):
    """How much it may say."""

    SILENT = "silent"
    LEARNING = "learning"
    CHANCES = "chances"
    ALL = "all"


class Why(StrEnum):
    """What is to be told beside it, or why nothing is said."""

    NO_MODEL = "no model"
    TOO_FEW_NIGHTS = "too few nights"
    MODEL_TOO_OLD = "model too old"
    NO_TEMPERATURE = "no temperature"
    HOUR_NOT_LEARNED = "hour not learned"
    MODEL_AGES = "model ages"
    NO_OUTDOORS = "no outdoor thermometer"
    OUTDOORS_FROZEN = "outdoor thermometer frozen"
    NO_SURFACE = "no surface"
    NO_HUMIDITY = "no humidity"
    CHANGED = "the shed behaves differently"
    FALLS_FAST = "falls faster than usual"
    HEATER_SHORT = "heater falls short"
    HEATER_UNTOLD = "heater not told of"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What was said at ``issued_at`` of one night. What may not or can't be said is None.

    Chances are never told as nothing or as certain. ``crossed_c`` are limits that the night
    has fallen below already: measured, no longer a chance. ``low_at`` is when the low usually
    comes, between ``low_from`` and ``low_to`` in eight nights of ten.
    """

    issued_at: datetime
    night: NightSpan
    level: Level
    whys: tuple[Why, ...]
    nights_used: int
    with_outdoor: bool
    low_c: Band | None = None
    low_so_far_c: float | None = None
    low_at: datetime | None = None
    low_from: datetime | None = None
    low_to: datetime | None = None
    chance_below: Mapping[float, float] = field(default_factory=dict)
    crossed_c: tuple[float, ...] = ()
    chance_condensation: float | None = None
    fitted_at: datetime | None = None
    changed_since: date | None = None

    def stale(self, now: datetime) -> bool:
        """Whether it was issued too long ago to be taken for news."""
        return now - self.issued_at > STALE_AFTER


def level_of(nights_used: int) -> Level:
    """How much may be said after so many nights."""
    if nights_used < LEARNS_FROM:
        return Level.SILENT
    if nights_used < CHANCES_FROM:
        return Level.LEARNING
    return Level.CHANCES if nights_used < ALL_FROM else Level.ALL


def issue_outlook(
    model: OutlookModel | None,
    night: NightSpan,
    at: datetime,
    issue: Issue | None,
    limits_c: Iterable[float],
    *,
    outdoors_frozen: bool = False,
) -> Outlook:
    """Say what may be said at ``at`` of the low of a night.

    Args:
        model: the newest that was fitted; None before the first.
        night: as it is planned.
        at: the instant of issue; ``night.issue_at(hour)`` of some hour.
        issue: what is known then; None without a temperature.
        limits_c: low limits, for which to tell a chance.
        outdoors_frozen: the outdoor thermometer is there, but stuck.
    """
    reason = _silent_because(model, at, issue)
    if reason or model is None or issue is None:
        return _silence(model, night, at, issue, reason)
    fall, with_outdoor = _which(model.hours.get(issue.hour), issue)
    if fall is None:
        return _silence(model, night, at, issue, Why.HOUR_NOT_LEARNED)
    said = Outlook(
        issued_at=at,
        night=night,
        level=level_of(model.nights_used),
        whys=tuple(_whys(model, at, issue, outdoors_frozen=outdoors_frozen)),
        nights_used=model.nights_used,
        with_outdoor=with_outdoor,
        low_c=low_band(fall, model.heater, issue),
        low_so_far_c=issue.low_so_far_c,
        fitted_at=model.fitted_at,
    )
    if said.level in (Level.CHANCES, Level.ALL):
        said = _with_chances(said, limits_c)
    return _with_all(said, model, issue) if said.level is Level.ALL else said


def _silent_because(model: OutlookModel | None, at: datetime, issue: Issue | None) -> Why | None:
    if model is None:
        return Why.NO_MODEL
    if model.nights_used < LEARNS_FROM:
        return Why.TOO_FEW_NIGHTS
    if at - model.fitted_at > MODEL_TOO_OLD:
        return Why.MODEL_TOO_OLD
    return Why.NO_TEMPERATURE if issue is None else None


def _silence(
    model: OutlookModel | None,
    night: NightSpan,
    at: datetime,
    issue: Issue | None,
    why: Why | None,
) -> Outlook:
    return Outlook(
        issued_at=at,
        night=night,
        level=Level.SILENT,
        whys=(why,) if why else (),
        nights_used=model.nights_used if model else 0,
        with_outdoor=False,
        low_so_far_c=issue.low_so_far_c if issue else None,
        fitted_at=model.fitted_at if model else None,
    )


def _which(hour: HourModel | None, issue: Issue) -> tuple[FallModel | None, bool]:
    """The model with outdoors where it can be used, else the one without."""
    if hour and hour.outdoors and issue.knows_outdoors:
        return hour.outdoors, True
    return (hour.shed if hour else None), False


def _whys(
    model: OutlookModel, at: datetime, issue: Issue, *, outdoors_frozen: bool
) -> Iterable[Why]:
    no_outdoors, no_humidity = not issue.knows_outdoors, issue.of("spread") is None
    holds = {
        Why.MODEL_AGES: at - model.fitted_at > MODEL_AGES,
        Why.OUTDOORS_FROZEN: outdoors_frozen,
        Why.NO_OUTDOORS: no_outdoors and not outdoors_frozen,
        Why.NO_HUMIDITY: no_humidity,
        Why.NO_SURFACE: issue.of("margin") is None and not no_humidity,
        Why.FALLS_FAST: falls_fast(model.usual_falls.get(issue.hour), issue),
        Why.HEATER_SHORT: model.heater_short,
        Why.HEATER_UNTOLD: model.piled_at_c is not None,
        Why.CHANGED: _changed(model, at),
    }
    return (why for why, true in holds.items() if true)


def _changed(model: OutlookModel, at: datetime) -> bool:
    noticed = model.watch.noticed_on
    return (
        model.nights_used >= ALL_FROM
        and noticed is not None
        and at.date() - noticed <= _CHANGE_IS_NEWS
    )


def _with_chances(said: Outlook, limits_c: Iterable[float]) -> Outlook:
    band, so_far = said.low_c, said.low_so_far_c
    if band is None:
        return said
    limits = tuple(limits_c)
    return replace(
        said,
        chance_below={limit: _unsure(chance_below(band, limit, so_far)) for limit in limits},
        crossed_c=tuple(limit for limit in limits if so_far is not None and so_far < limit),
    )


def _with_all(said: Outlook, model: OutlookModel, issue: Issue) -> Outlook:
    damp = _damp(model.hours.get(issue.hour), issue)
    fresh = model.last_evening == said.night.evening - timedelta(days=1)
    last_night = model.condensed_last if fresh else None
    chance = chance_of_condensation(damp, issue, last_night) if damp else None
    times, end = model.low_times, said.night.until
    return replace(
        said,
        low_at=end - times.usual if times else None,
        low_from=end - times.early if times else None,
        low_to=end - times.late if times else None,
        chance_condensation=None if chance is None else _unsure(chance),
        changed_since=model.watch.changed_since if _changed(model, said.issued_at) else None,
    )


def _damp(hour: HourModel | None, issue: Issue) -> DampModel | None:
    if hour is None:
        return None
    return hour.damp_outdoors if issue.knows_outdoors and hour.damp_outdoors else hour.damp


def _unsure(chance: float) -> float:
    return min(_SURE, max(1.0 - _SURE, chance))
