"""Settings made on pages, people and their tokens, calibrations, the record of changes."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables."""
    _kept_settings()
    _changes()
    _people()
    _sessions()
    _wall_tokens()
    _first_codes()
    _calibrations()
    _salt_trials()


def _kept_settings() -> None:
    op.create_table(
        "kept_settings",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.CheckConstraint("id = 1", name="one_document"),
        sqlite_strict=True,
    )


def _changes() -> None:
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sqlite_strict=True,
    )


def _people() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False, unique=True),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("password_hash", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("left_at", sa.Text),
        sa.Column("one_time_until", sa.Text),
        sqlite_strict=True,
    )


def _sessions() -> None:
    op.create_table(
        "sessions",
        sa.Column("digest", sa.Text, primary_key=True, nullable=False),
        sa.Column("person_id", sa.Integer, sa.ForeignKey("people.id"), nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("seen_at", sa.Text, nullable=False),
        sa.Column("ends_at", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("ix_sessions_person_id", "sessions", ["person_id"])


def _wall_tokens() -> None:
    op.create_table(
        "wall_tokens",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False, unique=True),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("made_by", sa.Text),
        sa.Column("revoked_at", sa.Text),
        sa.Column("seen_at", sa.Text),
        sqlite_strict=True,
    )


def _first_codes() -> None:
    op.create_table(
        "first_codes",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False, server_default="0"),
        sa.Column("used_at", sa.Text),
        sa.CheckConstraint("id = 1", name="one_code"),
        sqlite_strict=True,
    )


def _calibrations() -> None:
    op.create_table(
        "calibrations",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("quantity", sa.Text, nullable=False),
        sa.Column("since", sa.Text, nullable=False),
        sa.Column("slope", sa.REAL, nullable=False),
        sa.Column("offset", sa.REAL, nullable=False),
        sa.Column("method", sa.Text, nullable=False),
        sa.Column("reference", sa.Text, nullable=False),
        sa.Column("before", sa.REAL, nullable=False),
        sa.Column("after", sa.REAL, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("made_at", sa.Text, nullable=False),
        sqlite_strict=True,
    )


def _salt_trials() -> None:
    op.create_table(
        "salt_trials",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("salt", sa.Text, nullable=False),
        sa.Column("started_at", sa.Text, nullable=False),
        sa.Column("started_by", sa.Text),
        sa.Column("ended_at", sa.Text),
        sa.Column("measured_pct", sa.REAL),
        sa.Column("target_pct", sa.REAL),
        sa.Column("temperature_c", sa.REAL),
        sqlite_strict=True,
    )
    op.create_index(
        "one_open_trial_of_a_device",
        "salt_trials",
        ["device"],
        unique=True,
        sqlite_where=sa.text("ended_at IS NULL"),
    )
