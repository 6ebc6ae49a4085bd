"""The first chapter of the nest book, alarms and requests."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    _places()
    _birds()
    _pairs()
    _clutches()
    _eggs()
    _chicks()
    _checks()
    _corrections()
    _species_spans()
    _alarms()
    _requests()


def _places() -> None:
    op.create_table(
        "places",
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column(
            "within", sa.Text, sa.ForeignKey("places.id", deferrable=True, initially="DEFERRED")
        ),
        sa.Column("walking_order", sa.Integer, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False, server_default="0"),
        sqlite_strict=True,
    )


def _birds() -> None:
    op.create_table(
        "birds",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("sex", sa.Text, nullable=False),
        sa.Column("ring", sa.Text, unique=True),
        sa.Column("name", sa.Text),
        sa.Column("variety", sa.Text),
        sa.Column("hatched_on", sa.Text),
        sqlite_strict=True,
    )


def _pairs() -> None:
    op.create_table(
        "pairs",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("cage", sa.Text, sa.ForeignKey("places.id"), nullable=False),
        sa.Column("cock_id", sa.Integer, sa.ForeignKey("birds.id"), nullable=False),
        sa.Column("hen_id", sa.Integer, sa.ForeignKey("birds.id"), nullable=False),
        sa.Column("put_up_on", sa.Text, nullable=False),
        sa.Column("ended_on", sa.Text),
        sa.CheckConstraint("ended_on >= put_up_on", name="a_pair_ends_after_it_began"),
        sqlite_strict=True,
    )
    op.create_index(
        "one_pair_in_a_cage",
        "pairs",
        ["cage"],
        unique=True,
        sqlite_where=sa.text("ended_on IS NULL"),
    )


def _clutches() -> None:
    op.create_table(
        "clutches",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("box", sa.Text, sa.ForeignKey("places.id"), nullable=False),
        sa.Column("pair_id", sa.Integer, sa.ForeignKey("pairs.id"), nullable=False),
        sa.Column("round", sa.Integer, nullable=False),
        sa.Column("sitting_from", sa.Text),
        sa.Column("hide_in_at", sa.Text),
        sa.Column("closed_at", sa.Text),
        sqlite_strict=True,
    )
    op.create_index("ix_clutches_box", "clutches", ["box"])
    op.create_index(
        "one_open_clutch_in_a_box",
        "clutches",
        ["box"],
        unique=True,
        sqlite_where=sa.text("closed_at IS NULL"),
    )


def _eggs() -> None:
    op.create_table(
        "eggs",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("clutch_id", sa.Integer, sa.ForeignKey("clutches.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("laid_from", sa.Text, nullable=False),
        sa.Column("laid_to", sa.Text, nullable=False),
        sa.Column("candling", sa.Text),
        sa.Column("candled_at", sa.Text),
        sa.Column("fate", sa.Text),
        sa.Column("fate_from", sa.Text),
        sa.Column("fate_to", sa.Text),
        sa.UniqueConstraint("clutch_id", "number"),
        sa.CheckConstraint("number >= 1", name="eggs_are_numbered_from_one"),
        sa.CheckConstraint("laid_from <= laid_to", name="an_egg_is_laid_forwards"),
        sqlite_strict=True,
    )


def _chicks() -> None:
    op.create_table(
        "chicks",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("clutch_id", sa.Integer, sa.ForeignKey("clutches.id"), nullable=False),
        sa.Column("egg_number", sa.Integer, nullable=False),
        sa.Column("hatched_from", sa.Text, nullable=False),
        sa.Column("hatched_to", sa.Text, nullable=False),
        sa.Column("ring", sa.Text),
        sa.Column("ringed_at", sa.Text),
        sa.Column("fate", sa.Text),
        sa.Column("fate_at", sa.Text),
        sa.UniqueConstraint("clutch_id", "egg_number"),
        sa.CheckConstraint("hatched_from <= hatched_to", name="a_chick_hatches_forwards"),
        sqlite_strict=True,
    )


def _checks() -> None:
    op.create_table(
        "checks",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("form_id", sa.Text, nullable=False, unique=True),
        sa.Column("box", sa.Text, sa.ForeignKey("places.id"), nullable=False),
        sa.Column("clutch_id", sa.Integer, sa.ForeignKey("clutches.id")),
        sa.Column("pair_id", sa.Integer, sa.ForeignKey("pairs.id")),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("eggs", sa.Integer, nullable=False),
        sa.Column("chicks", sa.Integer, nullable=False),
        sa.Column("hen", sa.Text, nullable=False),
        sa.Column("told", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("changes", sa.Text, nullable=False),
        sa.CheckConstraint("eggs >= 0 AND chicks >= 0", name="counts_are_counts"),
        sqlite_strict=True,
    )
    op.create_index("ix_checks_box", "checks", ["box"])


def _corrections() -> None:
    op.create_table(
        "corrections",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("clutch_id", sa.Integer, sa.ForeignKey("clutches.id"), nullable=False),
        sa.Column("fact", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.Column("by", sa.Text),
        sa.Column("at", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("ix_corrections_clutch_id", "corrections", ["clutch_id"])


def _species_spans() -> None:
    op.create_table(
        "species_spans",
        sa.Column("name", sa.Text, primary_key=True, nullable=False),
        sa.Column("least", sa.REAL, nullable=False),
        sa.Column("most", sa.REAL, nullable=False),
        sa.Column("source", sa.Text, nullable=False),
        sqlite_strict=True,
    )


def _alarms() -> None:
    op.create_table(
        "alarms",
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        sa.Column("rule", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("priority", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("raised_at", sa.Text, nullable=False),
        sa.Column("value", sa.REAL, nullable=False),
        sa.Column("setpoint", sa.REAL, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("cleared_at", sa.Text),
        sa.Column("acknowledged_at", sa.Text),
        sa.Column("acknowledged_by", sa.Text),
        sqlite_strict=True,
    )
    op.create_index("ix_alarms_raised_at", "alarms", ["raised_at"])
    op.create_index("ix_alarms_state", "alarms", ["state"])


def _requests() -> None:
    op.create_table(
        "requests",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("settled_at", sa.Text),
        sa.Column("outcome", sa.Text),
        sqlite_strict=True,
    )
    op.create_index("ix_requests_settled_at", "requests", ["settled_at"])
