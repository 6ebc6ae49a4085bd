"""The outlook's model from the nights that were seen. Pure; run where numpy may be loaded.

Widths of the bands and the watch over the fit go on from the model before: each new night is
held against what that model foresaw. Without one the last sixty nights are gone through anew,
each foreseen from those before it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from service.climate.outlook.evaluate import deviation, low_band
from service.climate.outlook.features import Issue
from service.climate.outlook.model import (
    FallModel,
    FitWatch,
    HeaterMap,
    HourModel,
    LowTimes,
    OutlookModel,
    Widths,
)
from service.climate.outlook.night_row import NightRow
from service.climate.outlook.outlook import ALL_FROM, LEARNS_FROM
from service.study.outlook_damp import fit_damp
from service.study.outlook_first_hours import usual_falls
from service.study.outlook_heater import falls_short, fit_heated, piled_at_c
from service.study.outlook_prior import FallPrior, HourPrior, OutlookPrior, stated_prior
from service.study.outlook_ridge import FallFit, fit_fall, standardised
from service.study.outlook_table import HourTable, ages, hour_table, was_wet
from service.study.outlook_watch import stretched, watched, widened

GONE_THROUGH = 60
"""Nights that are gone through anew where there is no model before."""

LEAST_NIGHTS = 7
"""An hour at which fewer nights were told has no model."""

_TIMES_NIGHTS = 30
_TIMES_PLAY = timedelta(minutes=15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What goes on from night to night: widths by "hour/kind", and the watch over the fit."""

    widths: Mapping[str, Widths]
    watch: FitWatch


def fit(
    rows: Sequence[NightRow],
    *,
    fitted_at: datetime,
    surface_by: str = "",
    heater_c: float | None = None,
    looks: Mapping[date, bool] | None = None,
    previous: OutlookModel | None = None,
    prior: OutlookPrior | None = None,
) -> OutlookModel:
    """Fit the model of all hours.

    Args:
        rows: oldest first; those that don't count are passed over. May be empty.
        fitted_at: when, by the shed's clock.
        surface_by: how the coldest surface is known now; margins known otherwise don't count.
        heater_c: the thermostat's setting, None without a heater [°C].
        looks: evenings after which the keeper told whether the surface was wet in the morning.
        previous: the model before, if any.
        prior: the stated one, unless a trial needs another.
    """
    known = [row for row in rows if row.counts]
    fitter = _Fitter(
        prior=prior or stated_prior(), surface_by=surface_by, heater_c=heater_c, looks=looks or {}
    )
    tables = fitter.tables(known)
    course = _course(fitter, known, tables, previous)
    last = known[-1].evening if known else None
    hours, heater = fitter.hours(tables, course)
    return OutlookModel(
        fitted_at=fitted_at,
        nights_used=len(known),
        last_evening=last,
        surface_by=surface_by,
        hours=hours,
        heater=heater,
        low_times=low_times(known),
        watch=course.watch,
        widths=course.widths,
        condensed_last=was_wet(known[-1], surface_by, fitter.looks) if known else None,
        usual_falls=usual_falls(known),
        heater_short=falls_short(known, heater_c),
        piled_at_c=piled_at_c(known, heater_c),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fitter:
    """One way of fitting: what stays the same from night to night."""

    prior: OutlookPrior
    surface_by: str
    heater_c: float | None
    looks: Mapping[date, bool]

    def tables(self, rows: Sequence[NightRow]) -> dict[int, HourTable]:
        """The tables of all hours."""
        return {
            hour: hour_table(rows, hour, surface_by=self.surface_by, looks=self.looks)
            for hour in self.prior.hours
        }

    def hours(
        self,
        tables: Mapping[int, HourTable],
        course: Course,
        before: date = date.max,
        *,
        damp: bool = True,
    ) -> tuple[dict[int, HourModel], HeaterMap | None]:
        """Models of all hours, of nights before an evening, and what the heater does."""
        found, heater = {}, None
        for hour, whole in tables.items():
            table = whole.before(before)
            model, map_ = self._hour(hour, table, course, damp=damp)
            found[hour] = model
            if hour == 0:
                heater = map_
        return found, heater

    def _hour(
        self, hour: int, table: HourTable, course: Course, *, damp: bool
    ) -> tuple[HourModel, HeaterMap | None]:
        prior = self.prior.hours[hour]
        since = course.watch.changed_since
        models, heater = HourModel(), None
        for kind, chosen in self._chosen(table):
            if len(chosen.evenings) < LEAST_NIGHTS:
                continue
            weights = ages(chosen.evenings, table.evenings[-1], since)
            widths = course.widths.get(f"{hour}/{kind}", Widths())
            fall, map_ = fit_low(_fall_prior(prior, kind), chosen, weights, self.heater_c)
            models = _with_low(models, kind, fall.model(widths))
            heater = map_ or heater
            if damp and np.count_nonzero(~np.isnan(chosen.least_margin_k)) >= LEAST_NIGHTS:
                models = _with_damp(models, kind, prior, chosen, weights)
        return models, heater

    @staticmethod
    def _chosen(table: HourTable) -> Iterable[tuple[str, HourTable]]:
        yield "shed", table
        yield "outdoors", table.only(table.knows("gap"))


def fit_low(
    prior: FallPrior, table: HourTable, weights: np.ndarray, heater_c: float | None
) -> tuple[FallFit, HeaterMap | None]:
    """The night's low of one hour and kind, with a heater or without."""
    z = standardised(prior, table.features)
    if heater_c is None:
        return fit_fall(prior, z, table.shed_c - table.low_c, weights), None
    heated = fit_heated(prior, z, (table.shed_c, table.low_c), weights, heater_c)
    return heated.fit, heated.heater


def _fall_prior(prior: HourPrior, kind: str) -> FallPrior:
    return prior.outdoors if kind == "outdoors" else prior.shed


def _with_low(models: HourModel, kind: str, low: FallModel) -> HourModel:
    return replace(models, outdoors=low) if kind == "outdoors" else replace(models, shed=low)


def _with_damp(
    models: HourModel, kind: str, prior: HourPrior, table: HourTable, weights: np.ndarray
) -> HourModel:
    if kind == "outdoors":
        return replace(models, damp_outdoors=fit_damp(prior.damp_outdoors, table, weights))
    return replace(models, damp=fit_damp(prior.damp, table, weights))


def low_times(rows: Sequence[NightRow]) -> LowTimes | None:
    """When the lows of the last nights came: eight in ten of them, a quarter hour wider."""
    before = sorted(
        (row.night.until - row.low_at for row in rows[-_TIMES_NIGHTS:] if row.low_at), reverse=True
    )
    if len(before) < ALL_FROM:
        return None
    tenth = len(before) // 10
    return LowTimes(
        early=before[tenth] + _TIMES_PLAY,
        usual=before[len(before) // 2],
        late=max(timedelta(0), before[-1 - tenth] - _TIMES_PLAY),
    )


def _course(
    fitter: _Fitter,
    rows: Sequence[NightRow],
    tables: Mapping[int, HourTable],
    previous: OutlookModel | None,
) -> Course:
    if previous and previous.last_evening and _continues(rows, previous.last_evening):
        course = Course(widths=previous.widths, watch=previous.watch)
        for row in rows:
            if row.evening > previous.last_evening:
                course = _one_on(course, previous.hours, previous.heater, row)
        return course
    course = Course(widths={}, watch=FitWatch())
    for k in range(max(LEARNS_FROM, len(rows) - GONE_THROUGH), len(rows)):
        hours, heater = fitter.hours(tables, course, rows[k].evening, damp=False)
        course = _one_on(course, hours, heater, rows[k])
    return course


def _continues(rows: Sequence[NightRow], last_evening: date) -> bool:
    """Whether the model before is no older than these few new nights."""
    new = sum(1 for row in rows if row.evening > last_evening)
    return new <= LEARNS_FROM and any(row.evening == last_evening for row in rows)


def _one_on(
    course: Course, hours: Mapping[int, HourModel], heater: HeaterMap | None, row: NightRow
) -> Course:
    """A night that is over, held against what was foreseen of it."""
    if row.low_c is None:
        return course
    widths = dict(course.widths)
    for hour, issue in row.issues.items():
        for kind, model in _used(hours.get(hour), issue):
            key = f"{hour}/{kind}"
            band = low_band(model, heater, issue)
            widths[key] = stretched(widths.get(key, Widths()), band, row.low_c)
    watch = _watched(course.watch, hours, heater, row)
    if watch.noticed_on == row.evening:
        widths = {key: widened(value) for key, value in widths.items()}
    return Course(widths=widths, watch=watch)


def _used(hour: HourModel | None, issue: Issue) -> Iterable[tuple[str, FallModel]]:
    if hour and hour.shed:
        yield "shed", hour.shed
    if hour and hour.outdoors and issue.knows_outdoors:
        yield "outdoors", hour.outdoors


def _watched(
    watch: FitWatch, hours: Mapping[int, HourModel], heater: HeaterMap | None, row: NightRow
) -> FitWatch:
    """By what was foreseen at lamps-off, with the better of the two models."""
    issue = row.issues.get(0)
    if issue is None or row.low_c is None:
        return watch
    for _kind, model in reversed(list(_used(hours.get(0), issue))):
        return watched(watch, row.evening, deviation(low_band(model, heater, issue), row.low_c))
    return watch
