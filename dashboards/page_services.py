"""All that the pages need from the rest of the service, handed in by whoever wires it."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from service.clock import Clock
from service.heartbeat import Heartbeat
from service.intake.broker_standing import BrokerStanding
from service.machine.broker_accounts import BrokerAccounts
from service.nest_check_path import NestCheckPath
from service.settings.editing import SettingsEditor
from service.settings.settings import Settings
from service.store.alarm_store import AlarmStore, RequestStore
from service.store.bird_book import BirdBook
from service.store.cage_store import CageStore
from service.store.calendar_store import CalendarStore
from service.store.calibration_store import CalibrationStore
from service.store.duty_store import DutyStore, RunningLowStore
from service.store.kept_settings import ChangeRecord
from service.store.nest_book import NestBook
from service.store.outlook_store import OutlookStore
from service.store.people_store import PeopleStore
from service.store.reading_store import ReadingStore
from service.store.season_store import SeasonStore
from service.store.suggestion_store import SuggestionStore
from service.store.treatment_store import TreatmentStore
from service.store.visit_time_store import VisitTimeStore


@dataclass(frozen=True, slots=True, kw_only=True)
class PageServices:
    """Pages read the stores, write the nest book, and leave requests for watch.

    ``current`` gives the settings as they are now: those made on pages may change at any
    moment. ``heartbeat`` gives watch's newest sign of life, None where there is none. ``hosts`` are
    the names under which the pages answer; a request for another one is refused.
    ``data`` is the data folder, for what is kept in files: certificates and passwords.
    ``notes`` is what the pages themselves have to tell: that a certificate can't be read, say.
    ``renew`` is called when something was changed that the settings follow from.
    ``broker`` tells how it stands with the broker where the keeper named none.
    """

    current: Callable[[], Settings]
    clock: Clock
    readings: ReadingStore
    nest_book: NestBook
    birds: BirdBook
    cages: CageStore
    seasons: SeasonStore
    visit_times: VisitTimeStore
    duties: DutyStore
    running_low: RunningLowStore
    suggestions: SuggestionStore
    calendars: CalendarStore
    alarms: AlarmStore
    requests: RequestStore
    check_path: NestCheckPath
    heartbeat: Callable[[], Heartbeat | None]
    people: PeopleStore
    calibrations: CalibrationStore
    changes: ChangeRecord
    outlook: OutlookStore
    treatments: TreatmentStore
    editor: SettingsEditor
    data: Path
    hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "[::1]")
    broker: Callable[[], BrokerStanding | None] = lambda: None
    broker_accounts: BrokerAccounts | None = None
    notes: Callable[[], tuple[str, ...]] = tuple
    renew: Callable[[], None] = lambda: None

    @property
    def accounts(self) -> BrokerAccounts | None:
        """Names and passwords of devices; None where the broker is not ours to say."""
        standing = None if self.settings.broker_told else self.broker()
        return self.broker_accounts if standing is not None and standing.ours else None

    @property
    def settings(self) -> Settings:
        """The settings as they are now."""
        return self.current()
