"""Alarms that are shelved, hidden by their cause or out of service, and what happened to them."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add columns and tables; alarms that are there were told when they were raised."""
    _alarms()
    op.add_column("requests", sa.Column("body", sa.Text))
    op.create_table(
        "alarm_journal",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", sa.Text, nullable=False, index=True),
        sa.Column("rule", sa.Text, nullable=False),
        sa.Column("happened", sa.Text, nullable=False),
        sa.Column("alarm_id", sa.Text),
        sa.Column("by", sa.Text),
        sa.Column("note", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "suppressions",
        sa.Column("rule", sa.Text, primary_key=True, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("since", sa.Text, nullable=False),
        sa.Column("until", sa.Text),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("by", sa.Text),
        sa.Column("one_shot", sa.Integer, nullable=False),
        sa.CheckConstraint("one_shot IN (0, 1)", name="one_shot_or_not"),
        sqlite_strict=True,
    )


def _alarms() -> None:
    op.add_column("alarms", sa.Column("kind", sa.Text, nullable=False, server_default=""))
    op.add_column("alarms", sa.Column("because_of", sa.Text))
    op.add_column("alarms", sa.Column("latching", sa.Integer, nullable=False, server_default="0"))
    op.add_column("alarms", sa.Column("re_alarm_after", sa.REAL))
    op.add_column("alarms", sa.Column("suppressed", sa.Text))
    op.add_column("alarms", sa.Column("suppressed_until", sa.Text))
    op.add_column("alarms", sa.Column("suppressed_why", sa.Text))
    op.add_column("alarms", sa.Column("told_at", sa.Text))
    op.execute("UPDATE alarms SET told_at = raised_at")
    # What an alarm of a limit is about, watch knows from the limit as soon as it starts.
    op.execute(
        "UPDATE alarms SET kind = substr(rule, 1, instr(rule, ':') - 1) WHERE instr(rule, ':') > 1"
    )
