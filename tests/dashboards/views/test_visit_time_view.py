"""The button to begin a visit, or to end it."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from dashboards.views.visit_time_view import visit_time_view
from service.nests.duty import Visit
from service.nests.workload.timed_visit import TimedVisit

FORM = UUID("7f0c3b52-0f0c-4a53-9d8f-1a9b4f1f2c11")
ZONE = ZoneInfo("Europe/Amsterdam")
AT = datetime(2026, 3, 2, 7, tzinfo=UTC)


def test_visit_that_it_is_time_for_can_be_begun() -> None:
    view = visit_time_view(None, Visit.EVENING, FORM, AT, ZONE)
    assert (view.words, view.address) == ("Begin the evening visit", "/today/visit/begin")
    assert view.visit_id is None


def test_visit_that_goes_on_can_be_ended_and_says_since_when_and_by_whom() -> None:
    visit = TimedVisit(
        id=4, day=date(2026, 3, 2), visit=Visit.MORNING, began_at=AT, began_by="Mara"
    )
    later = AT + timedelta(minutes=34, seconds=40)
    view = visit_time_view(visit, Visit.EVENING, FORM, later, ZONE)
    assert (view.words, view.visit_id) == ("End the morning visit", 4)
    assert view.more == "begun 08:00 by Mara, 34 min ago"
