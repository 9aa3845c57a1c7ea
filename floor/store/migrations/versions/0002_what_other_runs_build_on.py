"""what other runs build on: when a garment was scrapped, when an approval stood, what was reopened, and how a
refused run would stand

Revision ID: 0002
Revises: 0001

All are made from events, so the tables are made again once this has been applied.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("run", sa.Column("scrapped_at", sa.JSON(), nullable=False, server_default="[]"))
    op.add_column("run", sa.Column("approvals", sa.JSON(), nullable=False, server_default="[]"))
    op.add_column("run", sa.Column("reopened", sa.Boolean(), nullable=False, server_default="0"))
    op.add_column("run", sa.Column("own_status", sa.Text(), nullable=False, server_default="void"))
    op.add_column("run", sa.Column("own_ended_at", sa.BigInteger(), nullable=True))


def downgrade() -> None:
    for column in ("own_ended_at", "own_status", "reopened", "approvals", "scrapped_at"):
        op.drop_column("run", column)
