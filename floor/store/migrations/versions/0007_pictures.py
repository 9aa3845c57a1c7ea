"""pictures that operators take

Revision ID: 0007
Revises: 0005
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "photo",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("run", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("deleted_at", sa.BigInteger(), nullable=True),
        sa.Column("deleted_by", sa.Text(), nullable=True),
        sa.Column("data", sa.LargeBinary(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    op.create_index("ix_photo_run", "photo", ["run"])
    op.create_index("ix_photo_size", "photo", ["size"])
    op.create_index("ix_event_photo", "event", ["received_at"], sqlite_where=sa.text("kind = 'photo'"))


def downgrade() -> None:
    op.drop_index("ix_event_photo", "event")
    op.drop_index("ix_photo_size", "photo")
    op.drop_index("ix_photo_run", "photo")
    op.drop_table("photo")
