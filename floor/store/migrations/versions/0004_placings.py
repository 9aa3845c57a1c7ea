"""how fronts were laid and how halves met, and the machine and hoop of a run

Revision ID: 0004
Revises: 0003

All are made from events, so the tables are made again once this has been applied.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("run", sa.Column("machine", sa.Text(), nullable=False, server_default=""))
    op.add_column("run", sa.Column("hoop", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "placing",
        sa.Column("run_id", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("garment", sa.Integer(), nullable=False),
        sa.Column("size", sa.Text(), nullable=False),
        sa.Column("front", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("fresh", sa.Boolean(), nullable=False),
        sa.Column("readings", sa.JSON(), nullable=False),
        sa.Column("takes", sa.Double(), nullable=False),
        sa.Column("pairs", sa.JSON(), nullable=False),
        sa.Column("along", sa.Double(), nullable=False),
        sa.Column("across", sa.Double(), nullable=False),
        sa.Column("skew_deg", sa.Double(), nullable=False),
        sa.Column("stretch", sa.Double(), nullable=False),
        sa.Column("height", sa.Double(), nullable=False),
        sa.Column("worst", sa.Double(), nullable=True),
        sa.Column("risk", sa.Double(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("sure", sa.Text(), nullable=False),
        sa.Column("did", sa.Text(), nullable=False),
        sa.Column("nudge_along", sa.Double(), nullable=False),
        sa.Column("nudge_across", sa.Double(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name=op.f("fk_placing_run_id")),
        sa.PrimaryKeyConstraint("run_id", "phase", "number", name=op.f("pk_placing")),
    )
    op.create_index("ix_placing_learned", "placing", ["kind", "fresh", "at"])
    op.create_table(
        "meeting",
        sa.Column("run_id", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("garment", sa.Integer(), nullable=False),
        sa.Column("size", sa.Text(), nullable=False),
        sa.Column("steps", sa.JSON(), nullable=False),
        sa.Column("gaps", sa.JSON(), nullable=False),
        sa.Column("worst_step", sa.Double(), nullable=True),
        sa.Column("worst_gap", sa.Double(), nullable=True),
        sa.Column("passes", sa.Double(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name=op.f("fk_meeting_run_id")),
        sa.PrimaryKeyConstraint("run_id", "phase", name=op.f("pk_meeting")),
    )
    op.create_index(op.f("ix_meeting_at"), "meeting", ["at"])


def downgrade() -> None:
    op.drop_index("ix_meeting_at", "meeting")
    op.drop_table("meeting")
    op.drop_index("ix_placing_learned", "placing")
    op.drop_table("placing")
    for column in ("hoop", "machine"):
        op.drop_column("run", column)
