"""Looks at the shed once a second at most, and draws the wall anew when something changed.

Every open page asks here. A look that fails brings no new snapshot, and pages that hear of
none cover themselves: what can't be read is never shown as live.
"""

import hashlib
import math
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from dashboards.arrivals import Arrivals
from dashboards.marks.wall import BEFORE, wall_picture
from dashboards.page_services import PageServices
from dashboards.shed_air import ShedAir
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import clock_time
from dashboards.views.rail_view import RailView, rail_view
from dashboards.views.shed_state import Believed, ShedState, shed_state
from dashboards.views.tonight_words import ahead_of
from dashboards.views.wall_view import WallView, wall_view
from service.alarms.alarm import Alarm
from service.answers.health import Pulse, pulse
from service.answers.outlook import Tonight
from service.answers.tonight_so_far import tonight_so_far
from service.nests.due_dates import due_dates
from service.quality.flag import Flag
from service.rules.limit import Limit
from service.store.reading_store import Latest

LOOK_EVERY_S = 0.9
ARRIVALS_EVERY_S = 5.0
_BUCKET = timedelta(minutes=5)
_INSTANT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSnapshot:
    """The wall as it was at ``now``. ``version`` changes with the picture and with any alarm."""

    now: datetime
    clock: str
    state: ShedState
    view: WallView
    picture: str
    version: str
    made_monotonic: float


class WallWatch:
    """Shared by all requests of one pages process."""

    def __init__(self, services: PageServices) -> None:
        self.arrivals = Arrivals()
        self._arrivals_noted = -math.inf
        self._services = services
        self._lock = threading.Lock()
        self._snapshot: WallSnapshot | None = None
        self._seen: object = None

    def current(self) -> WallSnapshot:
        """The newest snapshot, at most a second old.

        Raises:
            StoreUnavailableError: a store can't be read now.
        """
        with self._lock:
            snapshot = self._snapshot
            if snapshot and time.monotonic() - snapshot.made_monotonic < LOOK_EVERY_S:
                return snapshot
            self._snapshot = self._look()
            return self._snapshot

    def _look(self) -> WallSnapshot:
        services = self._services
        now = services.clock.now()
        newest = tuple(services.readings.latest())
        self._note_arrivals()
        alarms = tuple(services.alarms.open_alarms())
        state = self._state(newest, alarms, now)
        rail = self._rail(now)
        expected = tonight_so_far(services.outlook, services.readings, services.settings, now)
        clock = clock_time(now, services.settings.site.timezone)
        seen = (
            newest,
            clock,
            replace(
                state, now=_EPOCH, watch_last_at=state.watch_last_at if state.trouble else None
            ),
            rail.entries,
            services.settings,
            expected,
            alarms,
        )
        old = self._snapshot
        if old is not None and seen == self._seen:
            return replace(old, now=now, state=state, clock=clock, made_monotonic=time.monotonic())
        view = self._view(newest, state, rail, expected)
        picture = wall_picture(view)
        self._seen = seen
        return WallSnapshot(
            now=now,
            clock=clock,
            state=state,
            view=view,
            picture=picture,
            version=hashlib.sha256(f"{picture}{alarms}".encode()).hexdigest()[:16],
            made_monotonic=time.monotonic(),
        )

    def _note_arrivals(self) -> None:
        """Seldom: whole messages are read for it."""
        now = time.monotonic()
        if now - self._arrivals_noted >= ARRIVALS_EVERY_S:
            self._arrivals_noted = now
            readings = self._services.readings
            self.arrivals.note(readings.strangers(), readings.overheard())

    def _state(
        self, newest: tuple[Latest, ...], alarms: tuple[Alarm, ...], now: datetime
    ) -> ShedState:
        services = self._services
        heartbeat = services.heartbeat()
        return shed_state(
            settings=services.settings,
            alarms=alarms,
            newest=newest,
            believed=self._believed(newest, now),
            heard=services.readings.deadlines(),
            trouble=trouble_in_words(pulse(heartbeat)),
            watch_last_at=heartbeat.at if heartbeat else None,
            night=ShedAir(services.readings, services.settings, newest, now).is_night(),
            now=now,
        )

    def _believed(self, newest: tuple[Latest, ...], now: datetime) -> tuple[Believed, ...]:
        """For a series whose newest reading did not pass: the newest one that did."""
        found = []
        longest = max(
            (s.overdue_after for s in self._services.settings.sensors), default=timedelta(0)
        )
        for one in newest:
            if one.flag is Flag.PASS or one.measured_at < now - longest:
                continue
            window = self._services.readings.window(one.series.id, now - longest, now + _INSTANT)
            passed = [reading for reading in window if reading.flag is Flag.PASS]
            if passed:
                found.append(Believed(series_id=one.series.id, measured_at=passed[-1].measured_at))
        return tuple(found)

    def _rail(self, now: datetime) -> RailView:
        settings = self._services.settings
        zone, book = settings.site.timezone, self._services.nest_book
        species = book.species()
        nests = book.nests()
        dues = [due for nest in nests for due in due_dates(nest, species, now, zone)]
        return rail_view([nest.box for nest in nests], dues, now, zone)

    def _view(
        self,
        newest: tuple[Latest, ...],
        state: ShedState,
        rail: RailView,
        expected: Tonight | None,
    ) -> WallView:
        settings, now = self._services.settings, state.now
        air = ShedAir(self._services.readings, settings, newest, now)
        night = air.is_night()
        source = air.tightest(night=night)
        channel = air.channel(source, now - BEFORE, width=_BUCKET) if source else None
        return wall_view(
            settings=settings,
            state=state,
            newest=newest,
            channel=_with_ahead(channel, expected, settings.limits),
            night_low=air.last_night(),
            rail=rail,
            night=night is True,
            tonight=expected,
        )


def _with_ahead(
    channel: ChannelView | None, expected: Tonight | None, limits: Sequence[Limit]
) -> ChannelView | None:
    """What is expected is of the shed's own air: no other place's channel shows it."""
    if channel is None or expected is None or channel.place != expected.place:
        return channel
    now_c = channel.latest.temperature_c if channel.latest else None
    return replace(channel, ahead=ahead_of(expected, limits, channel.now, now_c))


_EPOCH = datetime.min.replace(tzinfo=UTC)


def trouble_in_words(found: Pulse) -> str | None:
    """Why nothing on a page can be the present, in two words; None where all is well."""
    if not found.lives:
        return "watch stopped"
    if not found.well["listener"]:
        return "no broker"
    if not all(found.well.values()):
        return "watch is stuck"
    return None
