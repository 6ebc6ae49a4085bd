"""The frame of a page, from the newest look at the shed."""

from dashboards.page_services import PageServices
from dashboards.views.frame_view import FrameView
from dashboards.views.local_words import clock_time, moment
from dashboards.wall_watch import WallSnapshot


def frame(title: str, snapshot: WallSnapshot, services: PageServices) -> FrameView:
    """What stands around every page."""
    state = snapshot.state
    zone = services.settings.site.timezone
    trouble = None
    last = snapshot.clock
    if state.blind:
        trouble = state.trouble or "nothing heard"
        heard = snapshot.view.last_heard
        last = moment(heard, snapshot.now, zone) if heard else "never"
    return FrameView(
        title=title,
        shed_name=services.settings.shed_name,
        as_of=clock_time(snapshot.now, zone),
        night=snapshot.view.night,
        verdict=snapshot.view.verdict.sentences[0],
        trouble=trouble,
        last_heard=last,
        faults=services.settings.faults,
        notes=_notes(services),
    )


def _notes(services: PageServices) -> tuple[str, ...]:
    """What watch and the pages want to be read: that readings can't be stored, for example."""
    heartbeat = services.heartbeat()
    told = (*(heartbeat.notes if heartbeat else ()), *services.notes())
    return tuple(note for note in told if note not in services.settings.faults)
