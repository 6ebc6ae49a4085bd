"""records.db as one thing: the nest book, alarms, requests, people, calibrations."""

import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from service.errors import StoreUnavailableError
from service.store.sql_alarms import SqlAlarms
from service.store.sql_birds import SqlBirds
from service.store.sql_book_copy import SqlBookCopy
from service.store.sql_cages import SqlCages
from service.store.sql_calendars import SqlCalendars
from service.store.sql_calibrations import SqlCalibrations
from service.store.sql_duties import SqlDuties
from service.store.sql_engine import PATIENCE_S, Transactions, open_engine, sql_url
from service.store.sql_kept_settings import SqlChanges, SqlKeptSettings
from service.store.sql_nest_book import SqlNestBook
from service.store.sql_outlook import SqlOutlook
from service.store.sql_people import SqlPeople
from service.store.sql_requests import SqlRequests
from service.store.sql_running_low import SqlRunningLow
from service.store.sql_schema import is_current, upgrade
from service.store.sql_seasons import SqlSeasons
from service.store.sql_suggestions import SqlSuggestions
from service.store.sql_treatments import SqlTreatments
from service.store.sql_visit_times import SqlVisitTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """Safe to share between threads; each process opens its own."""

    nest_book: SqlNestBook
    birds: SqlBirds
    cages: SqlCages
    book_copy: SqlBookCopy
    seasons: SqlSeasons
    visit_times: SqlVisitTimes
    suggestions: SqlSuggestions
    calendars: SqlCalendars
    duties: SqlDuties
    running_low: SqlRunningLow
    alarms: SqlAlarms
    requests: SqlRequests
    kept: SqlKeptSettings
    changes: SqlChanges
    people: SqlPeople
    calibrations: SqlCalibrations
    outlook: SqlOutlook
    treatments: SqlTreatments
    transactions: Transactions

    def close(self) -> None:
        """Let go of the file."""
        self.transactions.close()


def open_records(url: str, data_folder: Path, *, patience_s: float = PATIENCE_S) -> Records:
    """Open the records, made or brought up to date first where that is needed.

    ``patience_s`` is how long a busy file is tried again [s].

    Raises:
        NotInThisVersionError: PostgreSQL.
        InputError: not the address of a SQLite file.
        NewerRecordsError: written by a newer version.
        StoreUnavailableError: the file can't be opened or stays busy.
    """
    address = sql_url(url, data_folder)
    _make_for_us_alone(Path(str(address.database)))
    upgrade(address)
    return _records(Transactions(open_engine(address), patience_s=patience_s))


def _make_for_us_alone(file: Path) -> None:
    """A new file is its owner's alone: it holds what passwords are compared with.

    SQLite gives its journal the permissions of the file. One that is there stays as it is.
    """
    with suppress(OSError):  # opening it tells in words what is wrong
        os.close(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))


def open_records_as_they_are(url: str, data_folder: Path) -> Records | None:
    """Open the records without making or changing anything; None where there are none yet.

    Raises:
        NotInThisVersionError, InputError: as above.
        StoreUnavailableError: the file can't be read, or has another version's layout.
    """
    address = sql_url(url, data_folder)
    if not Path(str(address.database)).exists():
        return None
    if not is_current(address):
        raise StoreUnavailableError(
            f"{address.database} has the layout of another version; the service brings it up "
            "to date when it starts"
        )
    return _records(Transactions(open_engine(address)))


def _records(transactions: Transactions) -> Records:
    return Records(
        nest_book=SqlNestBook(transactions),
        birds=SqlBirds(transactions),
        cages=SqlCages(transactions),
        book_copy=SqlBookCopy(transactions),
        seasons=SqlSeasons(transactions),
        visit_times=SqlVisitTimes(transactions),
        suggestions=SqlSuggestions(transactions),
        calendars=SqlCalendars(transactions),
        duties=SqlDuties(transactions),
        running_low=SqlRunningLow(transactions),
        alarms=SqlAlarms(transactions),
        requests=SqlRequests(transactions),
        kept=SqlKeptSettings(transactions),
        changes=SqlChanges(transactions),
        people=SqlPeople(transactions),
        calibrations=SqlCalibrations(transactions),
        outlook=SqlOutlook(transactions),
        treatments=SqlTreatments(transactions),
        transactions=transactions,
    )
