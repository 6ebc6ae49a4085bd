"""Parents and whereabouts of birds, moves, masses, corrections, cages, seasons, calendars."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add columns and tables; make the corrections' table anew."""
    _birds()
    _eggs()
    _chicks()
    _corrections()
    _moves()
    _weighings()
    _condition_notes()
    _seasons()
    _cages()
    _calendar_tokens()


def _birds() -> None:
    # In SQL: Alembic can't add a column that points to another table to a SQLite file.
    for column in (
        "sire_id INTEGER REFERENCES birds (id)",
        "dam_id INTEGER REFERENCES birds (id)",
        "place TEXT REFERENCES places (id)",
        "life TEXT NOT NULL DEFAULT 'alive'",
        "life_since TEXT",
    ):
        op.execute(f"ALTER TABLE birds ADD COLUMN {column}")


def _eggs() -> None:
    op.add_column("eggs", sa.Column("length_mm", sa.REAL))
    op.add_column("eggs", sa.Column("breadth_mm", sa.REAL))


def _chicks() -> None:
    op.execute("ALTER TABLE chicks ADD COLUMN bird_id INTEGER REFERENCES birds (id)")


def _corrections() -> None:
    """Until now every correction was one of a clutch."""
    op.rename_table("corrections", "corrections_before")
    op.drop_index("ix_corrections_clutch_id", "corrections_before")
    op.create_table(
        "corrections",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("subject_id", sa.Integer, nullable=False),
        sa.Column("clutch_id", sa.Integer, sa.ForeignKey("clutches.id"), index=True),
        sa.Column("fact", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.Column("why", sa.Text),
        sa.Column("by", sa.Text),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("undone_at", sa.Text),
        sa.Column("undone_by", sa.Text),
        sqlite_strict=True,
    )
    op.execute(
        "INSERT INTO corrections "
        "(id, subject, subject_id, clutch_id, fact, before, after, by, at) "
        "SELECT id, 'clutch', clutch_id, clutch_id, fact, before, after, by, at "
        "FROM corrections_before"
    )
    op.drop_table("corrections_before")


def _moves() -> None:
    op.create_table(
        "moves",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("egg_id", sa.Integer, sa.ForeignKey("eggs.id"), nullable=False, index=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("from_box", sa.Text, sa.ForeignKey("places.id"), nullable=False),
        sa.Column("to_box", sa.Text, sa.ForeignKey("places.id"), nullable=False, index=True),
        sa.Column("why", sa.Text, nullable=False, server_default=""),
        sa.Column("by", sa.Text),
        sa.CheckConstraint("from_box <> to_box", name="a_move_leads_elsewhere"),
        sqlite_strict=True,
    )


def _weighings() -> None:
    op.create_table(
        "weighings",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("egg_id", sa.Integer, sa.ForeignKey("eggs.id"), index=True),
        sa.Column("bird_id", sa.Integer, sa.ForeignKey("birds.id"), index=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("mass_g", sa.REAL, nullable=False),
        sa.Column("by", sa.Text),
        sa.CheckConstraint("(egg_id IS NULL) <> (bird_id IS NULL)", name="of_an_egg_or_of_a_bird"),
        sa.CheckConstraint("mass_g > 0", name="a_mass_is_more_than_nothing"),
        sqlite_strict=True,
    )


def _condition_notes() -> None:
    op.create_table(
        "condition_notes",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("bird_id", sa.Integer, sa.ForeignKey("birds.id"), nullable=False, index=True),
        sa.Column("on_day", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("noted_at", sa.Text, nullable=False),
        sqlite_strict=True,
    )


def _seasons() -> None:
    op.create_table(
        "seasons",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("began_on", sa.Text, nullable=False),
        sa.Column("closed_on", sa.Text),
        sa.Column("closed_by", sa.Text),
        sa.CheckConstraint("closed_on >= began_on", name="a_season_closes_after_it_began"),
        sqlite_strict=True,
    )
    op.create_table(
        "clean_down",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("season_id", sa.Integer, sa.ForeignKey("seasons.id"), nullable=False, index=True),
        sa.Column("place", sa.Text, sa.ForeignKey("places.id")),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("done_at", sa.Text),
        sa.Column("done_by", sa.Text),
        sa.UniqueConstraint("season_id", "place", "what"),
        sqlite_strict=True,
    )
    op.create_table(
        "boxes_off",
        sa.Column("box", sa.Text, sa.ForeignKey("places.id"), primary_key=True, nullable=False),
        sa.Column("since", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sqlite_strict=True,
    )


def _cages() -> None:
    op.create_table(
        "cage_sizes",
        sa.Column("place", sa.Text, sa.ForeignKey("places.id"), primary_key=True, nullable=False),
        sa.Column("width_cm", sa.REAL, nullable=False),
        sa.Column("depth_cm", sa.REAL, nullable=False),
        sa.Column("height_cm", sa.REAL, nullable=False),
        sa.CheckConstraint(
            "width_cm > 0 AND depth_cm > 0 AND height_cm > 0", name="a_size_is_more_than_nothing"
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "fit_out_items",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.UniqueConstraint("kind", "name"),
        sqlite_strict=True,
    )
    op.create_table(
        "fit_out_seen",
        sa.Column("place", sa.Text, sa.ForeignKey("places.id"), primary_key=True, nullable=False),
        sa.Column(
            "item_id",
            sa.Integer,
            sa.ForeignKey("fit_out_items.id"),
            primary_key=True,
            nullable=False,
        ),
        sa.Column("there", sa.Integer, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.CheckConstraint("there IN (0, 1)", name="there_or_not"),
        sqlite_strict=True,
    )


def _calendar_tokens() -> None:
    op.create_table(
        "calendar_tokens",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False, unique=True),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("made_by", sa.Text),
        sa.Column("revoked_at", sa.Text),
        sa.Column("seen_at", sa.Text),
        sqlite_strict=True,
    )
    op.create_table(
        "calendar_events",
        sa.Column(
            "token_id",
            sa.Integer,
            sa.ForeignKey("calendar_tokens.id"),
            primary_key=True,
            nullable=False,
        ),
        sa.Column("uid", sa.Text, primary_key=True, nullable=False),
        sa.Column("first_day", sa.Text, nullable=False),
        sa.Column("last_day", sa.Text, nullable=False),
        sa.Column("told", sa.Text, nullable=False),
        sa.Column("sequence", sa.Integer, nullable=False),
        sa.Column("modified_at", sa.Text, nullable=False),
        sa.CheckConstraint("last_day >= first_day", name="an_event_ends_after_it_began"),
        sqlite_strict=True,
    )
