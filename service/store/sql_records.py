"""records.db as one thing: the nest book, alarms, and requests."""

from dataclasses import dataclass
from pathlib import Path

from service.store.sql_alarms import SqlAlarms
from service.store.sql_engine import Transactions, open_engine, sql_url
from service.store.sql_nest_book import SqlNestBook
from service.store.sql_requests import SqlRequests
from service.store.sql_schema import upgrade


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """Safe to share between threads; each process opens its own."""

    nest_book: SqlNestBook
    alarms: SqlAlarms
    requests: SqlRequests
    transactions: Transactions

    def close(self) -> None:
        """Let go of the file."""
        self.transactions.close()


def open_records(url: str, data_folder: Path) -> Records:
    """Open the records, made or brought up to date first where that is needed.

    Raises:
        NotInThisVersionError: PostgreSQL.
        InputError: not the address of a SQLite file.
        NewerRecordsError: written by a newer version.
        StoreUnavailableError: the file can't be opened or stays busy.
    """
    address = sql_url(url, data_folder)
    upgrade(address)
    transactions = Transactions(open_engine(address))
    return Records(
        nest_book=SqlNestBook(transactions),
        alarms=SqlAlarms(transactions),
        requests=SqlRequests(transactions),
        transactions=transactions,
    )
