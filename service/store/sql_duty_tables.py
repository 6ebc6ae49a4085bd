"""The tables of records.db that hold duties, visits, suggestions and what runs low."""

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.nests.duty import Missed, Visit, WhereKind
from service.store.sql_columns import Day, UtcTime, Word
from service.store.sql_tables import METADATA

DUTIES = Table(
    "duties",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("form_id", Text, index=True),
    Column("removed_at", UtcTime),
    Column("removed_by", Text),
    sqlite_strict=True,
)

# One row an edit; the last one of a duty holds. Schedule, rota and lists are JSON.
DUTY_TERMS = Table(
    "duty_terms",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("duty_id", Integer, ForeignKey("duties.id"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("since", UtcTime, nullable=False),
    Column("name", Text, nullable=False),
    Column("where_kind", Word(WhereKind), nullable=False),
    Column("places", Text, nullable=False),
    Column("schedule", Text, nullable=False),
    Column("visits", Text, nullable=False),
    Column("rota", Text, nullable=False),
    Column("rota_first", Day),
    Column("minutes", REAL, nullable=False),
    Column("missed", Word(Missed), nullable=False),
    Column("caution", Text, nullable=False, server_default=""),
    Column("look", Integer, nullable=False),
    Column("off", Integer, nullable=False),
    Column("by", Text),
    UniqueConstraint("duty_id", "revision"),
    CheckConstraint("minutes >= 0", name="it_takes_no_less_than_nothing"),
    CheckConstraint("look IN (0, 1)", name="a_look_or_not"),
    CheckConstraint("off IN (0, 1)", name="off_or_not"),
    sqlite_strict=True,
)

# ``place`` points nowhere: what was done stays told when the place is taken away.
DUTY_DONE = Table(
    "duty_done",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("duty_id", Integer, ForeignKey("duties.id"), nullable=False),
    Column("place", Text, nullable=False),
    Column("day", Day, nullable=False),
    Column("visit", Word(Visit), nullable=False),
    Column("words", Text, nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("by", Text),
    Column("form_id", Text, nullable=False),
    Column("undone_at", UtcTime),
    Column("undone_by", Text),
    # A form tells a slot once, and a slot stands once, whoever tells it.
    UniqueConstraint("form_id", "duty_id", "place", "day", "visit"),
    Index(
        "duty_done_stands_once",
        "duty_id",
        "place",
        "day",
        "visit",
        unique=True,
        sqlite_where=text("undone_at IS NULL"),
    ),
    Index("duty_done_by_day", "day"),
    sqlite_strict=True,
)

VISIT_TIMES = Table(
    "visit_times",
    METADATA,
    Column("visit", Word(Visit), primary_key=True, nullable=False),
    Column("counts_from", Text, nullable=False),
    sqlite_strict=True,
)

# A visit as the keeper timed it, by one tap at either end.
VISITS = Table(
    "visits",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("form_id", Text, nullable=False, unique=True),
    Column("day", Day, nullable=False, index=True),
    Column("visit", Word(Visit), nullable=False),
    Column("began_at", UtcTime, nullable=False),
    Column("began_by", Text),
    Column("ended_at", UtcTime),
    Column("ended_by", Text),
    CheckConstraint("ended_at >= began_at", name="a_visit_ends_after_it_began"),
    sqlite_strict=True,
)

# ``place`` as in duty_done. ``answer`` is yes, no or later; null while nobody answered.
SUGGESTIONS = Table(
    "suggestions",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("place", Text, nullable=False, index=True),
    Column("made_at", UtcTime, nullable=False),
    Column("kind", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("answer", Text),
    Column("answered_at", UtcTime),
    Column("answered_by", Text),
    Column("later_until", UtcTime),
    CheckConstraint("answer IN ('yes', 'no', 'later')", name="yes_no_or_later"),
    sqlite_strict=True,
)

RUNNING_LOW = Table(
    "running_low",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("what", Text, nullable=False),
    Column("added_at", UtcTime, nullable=False),
    Column("added_by", Text),
    Column("struck_at", UtcTime),
    Column("struck_by", Text),
    sqlite_strict=True,
)
