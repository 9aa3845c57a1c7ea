"""drafts of jobs

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "draft",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("form", sa.JSON(), nullable=False),
        sa.Column("outline_name", sa.Text(), nullable=False),
        sa.Column("outline_text", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.BigInteger(), nullable=False),
        sa.Column("dropped_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_draft_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_draft")),
    )


def downgrade() -> None:
    op.drop_table("draft")
