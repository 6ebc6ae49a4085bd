"""How it stands with the visit that is timed, read from the stores."""

from datetime import datetime
from uuid import uuid4

from dashboards.page_services import PageServices
from dashboards.views.visit_time_view import VisitTimeView, visit_time_view
from service.nests.visits import visit_at


def visit_time(services: PageServices, now: datetime) -> VisitTimeView:
    """The button to begin or to end it.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    zone = services.settings.site.timezone
    visit = visit_at(now, zone, services.duties.visit_times()).visit
    return visit_time_view(services.visit_times.going_on(now), visit, uuid4(), now, zone)
