"""The tables of records.db that hold what happened to alarms, and what persons suppress."""

from sqlalchemy import CheckConstraint, Column, Integer, Table, Text

from service.alarms.journal import Happened
from service.alarms.suppression import SuppressionKind
from service.store.sql_columns import UtcTime, Word
from service.store.sql_tables import METADATA

# ``rule`` and ``alarm_id`` point nowhere: what happened stays told.
ALARM_JOURNAL = Table(
    "alarm_journal",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("at", UtcTime, nullable=False, index=True),
    Column("rule", Text, nullable=False),
    Column("happened", Word(Happened), nullable=False),
    Column("alarm_id", Text),
    Column("by", Text),
    Column("note", Text, nullable=False),
    sqlite_strict=True,
)

SUPPRESSIONS = Table(
    "suppressions",
    METADATA,
    Column("rule", Text, primary_key=True, nullable=False),
    Column("kind", Word(SuppressionKind), nullable=False),
    Column("since", UtcTime, nullable=False),
    Column("until", UtcTime),
    Column("reason", Text, nullable=False),
    Column("by", Text),
    Column("one_shot", Integer, nullable=False),
    CheckConstraint("one_shot IN (0, 1)", name="one_shot_or_not"),
    sqlite_strict=True,
)
