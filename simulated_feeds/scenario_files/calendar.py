"""Numbered days and local times of a scenario file as instants."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from simulated_feeds.happening import Happening
from simulated_feeds.scenario_files.file import (
    AtPresentTable,
    FollowsTable,
    HappeningTable,
    Moment,
    ScenarioFile,
)
from simulated_feeds.scenario_files.scenario import Follows, Site

_NOON = time(12)
_FOR_GOOD = timedelta(days=3650)


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """``start`` and ``origin`` of a scenario [UTC], and the date of its day 0."""

    site: Site
    start: datetime
    origin: datetime
    day_0: date

    def instant(self, told: Moment) -> datetime:
        """A local time of a numbered day [UTC]."""
        return self.site.local(self.day_0 + timedelta(days=told.day), told.at)

    def happening(self, told: HappeningTable | AtPresentTable) -> Happening:
        """When and whom something strikes.

        Raises:
            ValueError: it ends before it begins.
        """
        if isinstance(told, AtPresentTable):
            since, until = self.origin, self.origin + _FOR_GOOD
        else:
            since, until = self.instant(told.since), self.instant(told.until)
        return Happening(what=told.what, since=since, until=until, who=told.who, amount=told.amount)

    def follows(self, told: FollowsTable) -> Follows:
        """What must follow, and when."""
        return Follows(
            place=told.place,
            since=self.instant(told.since),
            until=self.instant(told.until),
            alarm=told.alarm,
            event=told.event,
        )


def calendar_of(file: ScenarioFile, site: Site, now: datetime) -> Calendar:
    """A recorded scenario runs from noon to noon: its nights are whole."""
    length = timedelta(days=file.days)
    if file.begins is not None:
        start = site.local(file.begins, _NOON)
        day_0 = file.begins - timedelta(days=1)
        return Calendar(site=site, start=start, origin=start + length, day_0=day_0)
    origin = now.astimezone(UTC).replace(second=0, microsecond=0)
    evening = site.date_of(origin - timedelta(hours=12))
    return Calendar(site=site, start=origin - length, origin=origin, day_0=evening)
