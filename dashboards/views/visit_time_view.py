"""The two taps that tell how long a visit took. Pure."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from dashboards.views.local_words import clock_time
from service.nests.duty import Visit
from service.nests.workload.timed_visit import TimedVisit


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTimeView:
    """One button. ``address`` is where it goes, ``visit_id`` the visit that it ends."""

    address: str
    words: str
    more: str
    form_id: UUID
    visit_id: int | None = None


def visit_time_view(
    going_on: TimedVisit | None, visit: Visit, form_id: UUID, now: datetime, zone: ZoneInfo
) -> VisitTimeView:
    """``visit`` is the one it is time for; ``form_id`` is made anew for every page."""
    if going_on is None:
        return VisitTimeView(
            address="/today/visit/begin",
            words=f"Begin the {visit} visit",
            more="only to learn how long it takes; it may be left out",
            form_id=form_id,
        )
    by = f" by {going_on.began_by}" if going_on.began_by else ""
    minutes = int((now - going_on.began_at).total_seconds() // 60)
    since = f"begun {clock_time(going_on.began_at, zone)}{by}, {minutes} min ago"
    return VisitTimeView(
        address="/today/visit/end",
        words=f"End the {going_on.visit} visit",
        more=since,
        form_id=form_id,
        visit_id=going_on.id,
    )
