"""What a supervisor settled of what was set aside, and the few taps of many that are neither"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("verdict", sa.Column("settled", sa.Text(), nullable=False, server_default=""))
    op.create_index("ix_verdict_aside", "verdict", ["run"], sqlite_where=sa.text("applied IS 0"))
    op.create_index("ix_verdict_settled", "verdict", ["settled"], sqlite_where=sa.text("settled != ''"))


def downgrade() -> None:
    op.drop_index("ix_verdict_settled", "verdict")
    op.drop_index("ix_verdict_aside", "verdict")
    op.drop_column("verdict", "settled")
