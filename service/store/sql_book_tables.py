"""The tables of records.db that hold the rest of the nest book: moves, masses, cages, seasons."""

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    Table,
    Text,
    UniqueConstraint,
)

from service.nests.place import PlaceKind
from service.store.sql_columns import Day, UtcTime, Word
from service.store.sql_tables import METADATA

MOVES = Table(
    "moves",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("egg_id", Integer, ForeignKey("eggs.id"), nullable=False, index=True),
    Column("at", UtcTime, nullable=False),
    Column("from_box", Text, ForeignKey("places.id"), nullable=False),
    Column("to_box", Text, ForeignKey("places.id"), nullable=False, index=True),
    Column("why", Text, nullable=False, server_default=""),
    Column("by", Text),
    CheckConstraint("from_box <> to_box", name="a_move_leads_elsewhere"),
    sqlite_strict=True,
)

WEIGHINGS = Table(
    "weighings",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("egg_id", Integer, ForeignKey("eggs.id"), index=True),
    Column("bird_id", Integer, ForeignKey("birds.id"), index=True),
    Column("at", UtcTime, nullable=False),
    Column("mass_g", REAL, nullable=False),
    Column("by", Text),
    CheckConstraint("(egg_id IS NULL) <> (bird_id IS NULL)", name="of_an_egg_or_of_a_bird"),
    CheckConstraint("mass_g > 0", name="a_mass_is_more_than_nothing"),
    sqlite_strict=True,
)

CONDITION_NOTES = Table(
    "condition_notes",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("bird_id", Integer, ForeignKey("birds.id"), nullable=False, index=True),
    Column("on_day", Day, nullable=False),
    Column("text", Text, nullable=False),
    Column("by", Text),
    Column("noted_at", UtcTime, nullable=False),
    sqlite_strict=True,
)

SEASONS = Table(
    "seasons",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("began_on", Day, nullable=False),
    Column("closed_on", Day),
    Column("closed_by", Text),
    CheckConstraint("closed_on >= began_on", name="a_season_closes_after_it_began"),
    sqlite_strict=True,
)

CLEAN_DOWN = Table(
    "clean_down",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("season_id", Integer, ForeignKey("seasons.id"), nullable=False, index=True),
    Column("place", Text, ForeignKey("places.id")),
    Column("what", Text, nullable=False),
    Column("done_at", UtcTime),
    Column("done_by", Text),
    UniqueConstraint("season_id", "place", "what"),
    sqlite_strict=True,
)

BOXES_OFF = Table(
    "boxes_off",
    METADATA,
    Column("box", Text, ForeignKey("places.id"), primary_key=True, nullable=False),
    Column("since", UtcTime, nullable=False),
    Column("by", Text),
    sqlite_strict=True,
)

CAGE_SIZES = Table(
    "cage_sizes",
    METADATA,
    Column("place", Text, ForeignKey("places.id"), primary_key=True, nullable=False),
    Column("width_cm", REAL, nullable=False),
    Column("depth_cm", REAL, nullable=False),
    Column("height_cm", REAL, nullable=False),
    CheckConstraint(
        "width_cm > 0 AND depth_cm > 0 AND height_cm > 0", name="a_size_is_more_than_nothing"
    ),
    sqlite_strict=True,
)

# What belongs into every place of a kind: the template, in the order in which it is gone through.
FIT_OUT_ITEMS = Table(
    "fit_out_items",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("kind", Word(PlaceKind), nullable=False),
    Column("name", Text, nullable=False),
    Column("position", Integer, nullable=False),
    UniqueConstraint("kind", "name"),
    sqlite_strict=True,
)

# An item that has no row for a place was never looked for there.
FIT_OUT_SEEN = Table(
    "fit_out_seen",
    METADATA,
    Column("place", Text, ForeignKey("places.id"), primary_key=True, nullable=False),
    Column("item_id", Integer, ForeignKey("fit_out_items.id"), primary_key=True, nullable=False),
    Column("there", Integer, nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("by", Text),
    CheckConstraint("there IN (0, 1)", name="there_or_not"),
    sqlite_strict=True,
)

CALENDAR_TOKENS = Table(
    "calendar_tokens",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("digest", Text, nullable=False, unique=True),
    Column("made_at", UtcTime, nullable=False),
    Column("made_by", Text),
    Column("revoked_at", UtcTime),
    Column("seen_at", UtcTime),
    sqlite_strict=True,
)

# What was last told of each event, so that one that moved says so (SEQUENCE of RFC 5545).
CALENDAR_EVENTS = Table(
    "calendar_events",
    METADATA,
    Column("token_id", Integer, ForeignKey("calendar_tokens.id"), primary_key=True, nullable=False),
    Column("uid", Text, primary_key=True, nullable=False),
    Column("first_day", Day, nullable=False),
    Column("last_day", Day, nullable=False),
    Column("told", Text, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("modified_at", UtcTime, nullable=False),
    CheckConstraint("last_day >= first_day", name="an_event_ends_after_it_began"),
    sqlite_strict=True,
)
