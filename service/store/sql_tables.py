"""The tables of records.db as they stand after all migrations."""

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

from devices.reading import Quantity
from service.alarms.alarm import AlarmState
from service.alarms.suppression import SuppressionKind
from service.nests.book_correction import Subject
from service.nests.nest import Candling, ChickFate, EggFate, HenSeen, Life, Sex
from service.nests.place import PlaceKind
from service.people.role import Role
from service.rules.limit import Priority
from service.store.alarm_store import RequestKind
from service.store.sql_columns import Day, Seconds, UtcTime, Word

METADATA = MetaData()

PLACES = Table(
    "places",
    METADATA,
    Column("id", Text, primary_key=True, nullable=False),
    Column("kind", Word(PlaceKind), nullable=False),
    Column("name", Text, nullable=False),
    Column("within", Text, ForeignKey("places.id", deferrable=True, initially="DEFERRED")),
    Column("walking_order", Integer, nullable=False),
    Column("revision", Integer, nullable=False, server_default="0"),
    sqlite_strict=True,
)

BIRDS = Table(
    "birds",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("sex", Word(Sex), nullable=False),
    Column("ring", Text, unique=True),
    Column("name", Text),
    Column("variety", Text),
    Column("hatched_on", Day),
    Column("sire_id", Integer, ForeignKey("birds.id")),
    Column("dam_id", Integer, ForeignKey("birds.id")),
    Column("place", Text, ForeignKey("places.id")),
    Column("life", Word(Life), nullable=False, server_default=Life.ALIVE),
    Column("life_since", Day),
    sqlite_strict=True,
)

PAIRS = Table(
    "pairs",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("cage", Text, ForeignKey("places.id"), nullable=False),
    Column("cock_id", Integer, ForeignKey("birds.id"), nullable=False),
    Column("hen_id", Integer, ForeignKey("birds.id"), nullable=False),
    Column("put_up_on", Day, nullable=False),
    Column("ended_on", Day),
    CheckConstraint("ended_on >= put_up_on", name="a_pair_ends_after_it_began"),
    sqlite_strict=True,
)

CLUTCHES = Table(
    "clutches",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("box", Text, ForeignKey("places.id"), nullable=False, index=True),
    Column("pair_id", Integer, ForeignKey("pairs.id"), nullable=False),
    Column("round", Integer, nullable=False),
    Column("sitting_from", UtcTime),
    Column("hide_in_at", UtcTime),
    Column("closed_at", UtcTime),
    sqlite_strict=True,
)

EGGS = Table(
    "eggs",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("clutch_id", Integer, ForeignKey("clutches.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("laid_from", UtcTime, nullable=False),
    Column("laid_to", UtcTime, nullable=False),
    Column("candling", Word(Candling)),
    Column("candled_at", UtcTime),
    Column("fate", Word(EggFate)),
    Column("fate_from", UtcTime),
    Column("fate_to", UtcTime),
    Column("length_mm", REAL),
    Column("breadth_mm", REAL),
    UniqueConstraint("clutch_id", "number"),
    CheckConstraint("laid_from <= laid_to", name="an_egg_is_laid_forwards"),
    CheckConstraint("number >= 1", name="eggs_are_numbered_from_one"),
    sqlite_strict=True,
)

CHICKS = Table(
    "chicks",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("clutch_id", Integer, ForeignKey("clutches.id"), nullable=False),
    Column("egg_number", Integer, nullable=False),
    Column("hatched_from", UtcTime, nullable=False),
    Column("hatched_to", UtcTime, nullable=False),
    Column("ring", Text),
    Column("ringed_at", UtcTime),
    Column("fate", Word(ChickFate)),
    Column("fate_at", UtcTime),
    Column("bird_id", Integer, ForeignKey("birds.id")),
    UniqueConstraint("clutch_id", "egg_number"),
    CheckConstraint("hatched_from <= hatched_to", name="a_chick_hatches_forwards"),
    sqlite_strict=True,
)

# ``told`` and ``changes`` are JSON: lists of what the keeper named, and of what came of it.
CHECKS = Table(
    "checks",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("form_id", Text, nullable=False, unique=True),
    Column("box", Text, ForeignKey("places.id"), nullable=False, index=True),
    Column("clutch_id", Integer, ForeignKey("clutches.id")),
    Column("pair_id", Integer, ForeignKey("pairs.id")),
    Column("at", UtcTime, nullable=False),
    Column("eggs", Integer, nullable=False),
    Column("chicks", Integer, nullable=False),
    Column("hen", Word(HenSeen), nullable=False),
    Column("told", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("by", Text),
    Column("changes", Text, nullable=False),
    CheckConstraint("eggs >= 0 AND chicks >= 0", name="counts_are_counts"),
    sqlite_strict=True,
)

CORRECTIONS = Table(
    "corrections",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("subject", Word(Subject), nullable=False),
    Column("subject_id", Integer, nullable=False),
    Column("clutch_id", Integer, ForeignKey("clutches.id"), index=True),
    Column("fact", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Column("why", Text),
    Column("by", Text),
    Column("at", UtcTime, nullable=False),
    Column("undone_at", UtcTime),
    Column("undone_by", Text),
    sqlite_strict=True,
)

SPECIES_SPANS = Table(
    "species_spans",
    METADATA,
    Column("name", Text, primary_key=True, nullable=False),
    Column("least", REAL, nullable=False),
    Column("most", REAL, nullable=False),
    Column("source", Text, nullable=False),
    sqlite_strict=True,
)

ALARMS = Table(
    "alarms",
    METADATA,
    Column("id", Text, primary_key=True, nullable=False),
    Column("rule", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("priority", Word(Priority), nullable=False),
    Column("state", Word(AlarmState), nullable=False, index=True),
    Column("raised_at", UtcTime, nullable=False, index=True),
    Column("value", REAL, nullable=False),
    Column("setpoint", REAL, nullable=False),
    Column("text", Text, nullable=False),
    Column("cleared_at", UtcTime),
    Column("acknowledged_at", UtcTime),
    Column("acknowledged_by", Text),
    Column("kind", Text, nullable=False, server_default=""),
    Column("because_of", Text),
    Column("latching", Integer, nullable=False, server_default="0"),
    Column("re_alarm_after", Seconds),
    Column("suppressed", Word(SuppressionKind)),
    Column("suppressed_until", UtcTime),
    Column("suppressed_why", Text),
    Column("told_at", UtcTime),
    sqlite_strict=True,
)

REQUESTS = Table(
    "requests",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("kind", Word(RequestKind), nullable=False),
    Column("subject", Text, nullable=False),
    Column("by", Text),
    Column("at", UtcTime, nullable=False),
    Column("settled_at", UtcTime, index=True),
    Column("outcome", Text),
    Column("body", Text),
    sqlite_strict=True,
)

KEPT_SETTINGS = Table(
    "kept_settings",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("revision", Integer, nullable=False),
    Column("document", Text, nullable=False),
    CheckConstraint("id = 1", name="one_document"),
    sqlite_strict=True,
)

CHANGES = Table(
    "changes",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("at", UtcTime, nullable=False),
    Column("by", Text),
    Column("what", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    sqlite_strict=True,
)

PEOPLE = Table(
    "people",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("role", Word(Role), nullable=False),
    Column("password_hash", Text, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("left_at", UtcTime),
    Column("one_time_until", UtcTime),
    sqlite_strict=True,
)

SESSIONS = Table(
    "sessions",
    METADATA,
    Column("digest", Text, primary_key=True, nullable=False),
    Column("person_id", Integer, ForeignKey("people.id"), nullable=False, index=True),
    Column("made_at", UtcTime, nullable=False),
    Column("seen_at", UtcTime, nullable=False),
    Column("ends_at", UtcTime, nullable=False),
    sqlite_strict=True,
)

WALL_TOKENS = Table(
    "wall_tokens",
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

FIRST_CODES = Table(
    "first_codes",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("digest", Text, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("tries", Integer, nullable=False, server_default="0"),
    Column("used_at", UtcTime),
    CheckConstraint("id = 1", name="one_code"),
    sqlite_strict=True,
)

CALIBRATIONS = Table(
    "calibrations",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("device", Text, nullable=False),
    Column("quantity", Word(Quantity), nullable=False),
    Column("since", UtcTime, nullable=False),
    Column("slope", REAL, nullable=False),
    Column("offset", REAL, nullable=False),
    Column("method", Text, nullable=False),
    Column("reference", Text, nullable=False),
    Column("before", REAL, nullable=False),
    Column("after", REAL, nullable=False),
    Column("by", Text),
    Column("made_at", UtcTime, nullable=False),
    sqlite_strict=True,
)

SALT_TRIALS = Table(
    "salt_trials",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("device", Text, nullable=False),
    Column("salt", Text, nullable=False),
    Column("started_at", UtcTime, nullable=False),
    Column("started_by", Text),
    Column("ended_at", UtcTime),
    Column("measured_pct", REAL),
    Column("target_pct", REAL),
    Column("temperature_c", REAL),
    sqlite_strict=True,
)

# One pair in a cage, one open clutch in a box, at any moment: whatever the code believes.
Index("one_pair_in_a_cage", PAIRS.c.cage, unique=True, sqlite_where=PAIRS.c.ended_on.is_(None))
Index(
    "one_open_clutch_in_a_box",
    CLUTCHES.c.box,
    unique=True,
    sqlite_where=CLUTCHES.c.closed_at.is_(None),
)
Index(
    "one_open_trial_of_a_device",
    SALT_TRIALS.c.device,
    unique=True,
    sqlite_where=SALT_TRIALS.c.ended_at.is_(None),
)
