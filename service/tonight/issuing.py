"""What is said of tonight at an hour of issue, from the store; plain Python, for the watch."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from service.answers.outlook import cold_limits
from service.climate.light_plan import LightPlan
from service.climate.outlook.model import OutlookModel
from service.climate.outlook.night_row import issue_at, recollections
from service.climate.outlook.night_span import NightSpan, planned_night
from service.climate.outlook.outlook import Outlook, issue_outlook
from service.climate.outlook.outlook_json import UnreadableOutlookError, model_from, to_json
from service.climate.outlook.quarters import quarter
from service.settings.settings import Settings
from service.store.outlook_store import MOST_NIGHTS, KeptOutlook, OutlookStore
from service.store.reading_store import ReadingStore
from service.tonight.night_table import kept_rows
from service.tonight.quarter_hours import QuarterHours

LOOKED_BACK = timedelta(hours=26)
"""A day before the quarter of an hour that ends at the issue, and a little."""

STUDY_AFTER = timedelta(minutes=15)
"""So long after the night's end its last readings have come."""

_REMEMBERED = timedelta(days=9)
_DAY = timedelta(days=1)


class HourlyIssuing:
    """Fulfils ``Issuing``."""

    def __init__(self, readings: ReadingStore, kept: OutlookStore, settings: Settings) -> None:
        self._readings = readings
        self._kept = kept
        self._settings = settings

    def due(self, now: datetime) -> datetime | None:
        """The newest hour of issue that has come by ``now`` and was not issued yet."""
        night = self._night(now)
        hour = night.latest_hour(now) if night else None
        if night is None or hour is None:
            return None
        at = night.issue_at(hour)
        newest = self._kept.outlook(now)
        return None if newest is not None and newest.issued_at >= at else at

    def issue(self, at: datetime) -> None:
        """Say what may be said as of ``at``, and keep it."""
        night = self._night(at)
        hour = night.latest_hour(at) if night else None
        if night is None or hour is None:
            return
        said = self.said_at(night, hour)
        self._kept.put_outlook(
            KeptOutlook(night=night.evening, issued_at=said.issued_at, body=to_json(said))
        )

    def said_at(self, night: NightSpan, hour: int) -> Outlook:
        """The outlook of that hour, by what was stored and fitted by then.

        Raises:
            StoreUnavailableError: a store can't be read now.
        """
        at = night.issue_at(hour)
        there = QuarterHours(self._readings, self._settings)
        quarters = there.read(at - LOOKED_BACK, at)
        rows = kept_rows(self._kept, night.evening - _REMEMBERED)
        before = [row for row in rows if row.evening < night.evening]
        return issue_outlook(
            self._model(at),
            night,
            at,
            issue_at(quarters, night, hour, recollections(before)),
            self._limits_c(there),
            outdoors_frozen=quarters.outdoors_frozen(quarter(at) - 1),
        )

    def study_due(self, now: datetime) -> datetime | None:
        """The last morning, where nothing was fitted since and there was a night to study."""
        morning = last_morning(self._settings.light, now)
        if morning is None:
            return None
        newest = self._kept.model(now)
        if newest is not None and newest.fitted_at >= morning:
            return None
        return morning if self._heard_before(morning) else None

    def _heard_before(self, morning: datetime) -> bool:
        """In a shed that was set up today nothing is to be learned yet."""
        shed = QuarterHours(self._readings, self._settings).shed
        since = morning - MOST_NIGHTS * _DAY
        return shed is not None and shed.first(self._readings, since, morning) is not None

    def _night(self, now: datetime) -> NightSpan | None:
        """The night that goes on or comes next: an outlook of it is due, or it is none."""
        plan = self._settings.light
        for evening in _evenings(plan, now, back=1):
            night = planned_night(plan, evening)
            if night is not None and night.latest_hour(now) is not None:
                return night
        return None

    def _model(self, at: datetime) -> OutlookModel | None:
        """The newest by then; one that can't be read is as good as none."""
        kept = self._kept.model(at)
        if kept is None:
            return None
        try:
            return model_from(kept.body)
        except UnreadableOutlookError:
            return None

    def _limits_c(self, there: QuarterHours) -> tuple[float, ...]:
        if there.shed is None:
            return ()
        limits = cold_limits(self._settings.limits, there.shed.leading.place)
        return tuple(sorted({one.setpoint for one in limits}))


def last_morning(plan: LightPlan, now: datetime) -> datetime | None:
    """When the last night that is over could be studied; None where no night is known."""
    ends = [
        night.until + STUDY_AFTER
        for evening in _evenings(plan, now, back=2)
        if (night := planned_night(plan, evening)) is not None
    ]
    return max((one for one in ends if one <= now), default=None)


def _evenings(plan: LightPlan, now: datetime, *, back: int) -> Sequence[date]:
    """Local dates up to today, the oldest first."""
    today = now.astimezone(plan.site.timezone).date()
    return [today - n * _DAY for n in range(back, -1, -1)]
