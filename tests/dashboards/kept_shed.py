"""A shed whose settings are made on pages: real stores, the real editor, no file."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from dashboards.page_services import PageServices
from devices.message import Message
from service.clock import FixedClock
from service.heartbeat import Heartbeat
from service.intake.broker_standing import BrokerStanding
from service.machine.broker_accounts import BrokerAccounts
from service.nest_check_path import NestCheckPath
from service.reading_path import ReadingPath
from service.settings.editing import SettingsEditor
from service.settings.in_force import settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.wiring import Stores, open_stores, reading_path, settings_now
from tests.dashboards.filled_shed import NOW, ZONE, beating


@dataclass(kw_only=True)
class KeptShed:
    """Watch is played: what is heard walks the real path, with the settings as they are."""

    data: Path
    stores: Stores
    stated: Stated
    clock: FixedClock = field(default_factory=lambda: FixedClock(NOW))
    heartbeat: Callable[[], Heartbeat | None] = field(default=lambda: beating(NOW))
    accounts: BrokerAccounts | None = None

    def settings(self) -> Settings:
        """As they are now."""
        return settings_now(self.stated, self.data, self.stores.records)

    def hear(self, topic: str, payload: str, *, seconds_ago: float = 12) -> None:
        """A message arrives, and watch reads it with the settings as they are."""
        at = NOW - timedelta(seconds=seconds_ago)
        path = self.path(at)
        path.walk([Message(topic=topic, payload=payload.encode(), received_at=at)], lambda: None)
        path.save_alarms()

    def settle(self) -> list[str]:
        """Watch carries the requests out; what came of each, in words."""
        path, told = self.path(), []
        for request in self.stores.records.requests.pending():
            outcome = str(path.retry(request.subject, NOW))
            self.stores.records.requests.settle(request.id, at=NOW, outcome=outcome)
            told.append(outcome)
        path.save_alarms()
        return told

    def path(self, at: datetime = NOW) -> ReadingPath:
        """The walk of a reading as it is built when watch starts at ``at``."""
        path = reading_path(self.settings(), self.stores)
        path.restore(at)
        return path

    def services(self) -> PageServices:
        records = self.stores.records
        standing = BrokerStanding(
            words="our own", host="127.0.0.1", ours=True, reached_at=("192.0.2.7",)
        )
        return PageServices(
            current=self.settings,
            editor=SettingsEditor(
                stated=self.stated, data=self.data, kept=records.kept, book=records.nest_book
            ),
            clock=self.clock,
            readings=self.stores.readings,
            nest_book=records.nest_book,
            birds=records.birds,
            cages=records.cages,
            seasons=records.seasons,
            visit_times=records.visit_times,
            duties=records.duties,
            running_low=records.running_low,
            suggestions=records.suggestions,
            calendars=records.calendars,
            alarms=records.alarms,
            requests=records.requests,
            check_path=NestCheckPath(records.nest_book, self.clock, lambda: ZONE),
            heartbeat=self.heartbeat,
            people=records.people,
            calibrations=records.calibrations,
            changes=records.changes,
            outlook=records.outlook,
            treatments=records.treatments,
            data=self.data,
            hosts=("testserver", "127.0.0.1", "localhost", "[::1]"),
            broker=lambda: standing,
            broker_accounts=self.accounts,
        )

    def close(self) -> None:
        self.stores.close()


def open_kept_shed(data: Path, document: dict[str, object] | None = None) -> KeptShed:
    """Empty, but for what the ``document`` of a file states."""
    stated = Stated(document=document or {}, file=data / "clutchweather.toml" if document else None)
    settings = settings_of(stated, data)
    return KeptShed(data=data, stores=open_stores(settings, data, writer=True), stated=stated)
