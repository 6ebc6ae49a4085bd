"""What the book knows around birds, read once for a page."""

from datetime import date

from dashboards.page_services import PageServices
from dashboards.views.bird_view import Known
from dashboards.views.local_words import local_day


def known_of(services: PageServices) -> Known:
    """Birds, pairs, and the places as they are named now."""
    return Known(
        birds={bird.id: bird for bird in services.birds.birds()},
        pairs=services.nest_book.pairs(),
        places=services.settings.places,
    )


def shed_day(services: PageServices) -> date:
    """Today, in the shed's own time."""
    return local_day(services.clock.now(), services.settings.site.timezone)
