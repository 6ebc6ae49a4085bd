"""The outlook, treatments against mites, and mornings that the keeper saw wet or dry."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Add the tables; nothing that is there changes."""
    _outlook()
    _treatments()
    _surface_looks()


def _outlook() -> None:
    # What one night was like, as one hour of issue saw it coming: what a model is fitted to.
    op.create_table(
        "outlook_nights",
        sa.Column("evening", sa.Text, primary_key=True),
        sa.Column("body", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "outlook_models",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("fitted_at", sa.Text, nullable=False, index=True),
        sa.Column("body", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "outlooks",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("night", sa.Text, nullable=False, index=True),
        sa.Column("issued_at", sa.Text, nullable=False, index=True),
        sa.Column("body", sa.Text, nullable=False),
        sqlite_strict=True,
    )


def _treatments() -> None:
    op.create_table(
        "treatments",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("form_id", sa.Text, unique=True),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("against", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False, server_default=""),
        sa.Column("by", sa.Text),
        sa.Column("undone_at", sa.Text),
        sa.Column("undone_by", sa.Text),
        sqlite_strict=True,
    )


def _surface_looks() -> None:
    # Whether the keeper found the coldest surface wet on the morning after a night.
    op.create_table(
        "surface_looks",
        sa.Column("evening", sa.Text, primary_key=True),
        sa.Column("wet", sa.Integer, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("at", sa.Text, nullable=False),
        sa.CheckConstraint("wet IN (0, 1)", name="wet_or_dry"),
        sqlite_strict=True,
    )
