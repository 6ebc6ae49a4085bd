"""The tables of records.db that hold the outlook, treatments, and what surfaces looked like."""

from sqlalchemy import CheckConstraint, Column, Integer, Table, Text

from service.store.sql_columns import Day, UtcTime
from service.store.sql_tables import METADATA

# Bodies are JSON.
OUTLOOK_NIGHTS = Table(
    "outlook_nights",
    METADATA,
    Column("evening", Day, primary_key=True),
    Column("body", Text, nullable=False),
    sqlite_strict=True,
)

OUTLOOK_MODELS = Table(
    "outlook_models",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("fitted_at", UtcTime, nullable=False, index=True),
    Column("body", Text, nullable=False),
    sqlite_strict=True,
)

OUTLOOKS = Table(
    "outlooks",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("night", Day, nullable=False, index=True),
    Column("issued_at", UtcTime, nullable=False, index=True),
    Column("body", Text, nullable=False),
    sqlite_strict=True,
)

# ``place`` points nowhere: what was done stays told when the place is taken away.
TREATMENTS = Table(
    "treatments",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("form_id", Text, unique=True),
    Column("place", Text, nullable=False),
    Column("against", Text, nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("words", Text, nullable=False, server_default=""),
    Column("by", Text),
    Column("undone_at", UtcTime),
    Column("undone_by", Text),
    sqlite_strict=True,
)

SURFACE_LOOKS = Table(
    "surface_looks",
    METADATA,
    Column("evening", Day, primary_key=True),
    Column("wet", Integer, nullable=False),
    Column("by", Text),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("wet IN (0, 1)", name="wet_or_dry"),
    sqlite_strict=True,
)
