"""Duties and what was done of them, visits, suggestions, what runs low."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Add the tables; nothing that is there changes."""
    _duties()
    _duty_done()
    _visits()
    _suggestions()
    _running_low()


def _duties() -> None:
    op.create_table(
        "duties",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("form_id", sa.Text, index=True),
        sa.Column("removed_at", sa.Text),
        sa.Column("removed_by", sa.Text),
        sqlite_strict=True,
    )
    op.create_table(
        "duty_terms",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("duty_id", sa.Integer, sa.ForeignKey("duties.id"), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("since", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("where_kind", sa.Text, nullable=False),
        sa.Column("places", sa.Text, nullable=False),
        sa.Column("schedule", sa.Text, nullable=False),
        sa.Column("visits", sa.Text, nullable=False),
        sa.Column("rota", sa.Text, nullable=False),
        sa.Column("rota_first", sa.Text),
        sa.Column("minutes", sa.REAL, nullable=False),
        sa.Column("missed", sa.Text, nullable=False),
        sa.Column("caution", sa.Text, nullable=False, server_default=""),
        sa.Column("look", sa.Integer, nullable=False),
        sa.Column("off", sa.Integer, nullable=False),
        sa.Column("by", sa.Text),
        sa.UniqueConstraint("duty_id", "revision"),
        sa.CheckConstraint("minutes >= 0", name="it_takes_no_less_than_nothing"),
        sa.CheckConstraint("look IN (0, 1)", name="a_look_or_not"),
        sa.CheckConstraint("off IN (0, 1)", name="off_or_not"),
        sqlite_strict=True,
    )


def _duty_done() -> None:
    op.create_table(
        "duty_done",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("duty_id", sa.Integer, sa.ForeignKey("duties.id"), nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("day", sa.Text, nullable=False),
        sa.Column("visit", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("form_id", sa.Text, nullable=False),
        sa.Column("undone_at", sa.Text),
        sa.Column("undone_by", sa.Text),
        sa.UniqueConstraint("form_id", "duty_id", "place", "day", "visit"),
        sqlite_strict=True,
    )
    op.create_index(
        "duty_done_stands_once",
        "duty_done",
        ["duty_id", "place", "day", "visit"],
        unique=True,
        sqlite_where=sa.text("undone_at IS NULL"),
    )
    op.create_index("duty_done_by_day", "duty_done", ["day"])


def _visits() -> None:
    op.create_table(
        "visit_times",
        sa.Column("visit", sa.Text, primary_key=True, nullable=False),
        sa.Column("counts_from", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "visits",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("form_id", sa.Text, nullable=False, unique=True),
        sa.Column("day", sa.Text, nullable=False, index=True),
        sa.Column("visit", sa.Text, nullable=False),
        sa.Column("began_at", sa.Text, nullable=False),
        sa.Column("began_by", sa.Text),
        sa.Column("ended_at", sa.Text),
        sa.Column("ended_by", sa.Text),
        sa.CheckConstraint("ended_at >= began_at", name="a_visit_ends_after_it_began"),
        sqlite_strict=True,
    )


def _suggestions() -> None:
    op.create_table(
        "suggestions",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("place", sa.Text, nullable=False, index=True),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("answer", sa.Text),
        sa.Column("answered_at", sa.Text),
        sa.Column("answered_by", sa.Text),
        sa.Column("later_until", sa.Text),
        sa.CheckConstraint("answer IN ('yes', 'no', 'later')", name="yes_no_or_later"),
        sqlite_strict=True,
    )


def _running_low() -> None:
    op.create_table(
        "running_low",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("added_at", sa.Text, nullable=False),
        sa.Column("added_by", sa.Text),
        sa.Column("struck_at", sa.Text),
        sa.Column("struck_by", sa.Text),
        sqlite_strict=True,
    )
