"""What is known of each tablet: when it was last heard, its clock, and which of its numbers are missing or lost"""

import hashlib
import json

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

MAX_NUMBER = 2**53


def upgrade() -> None:
    op.add_column("event", sa.Column("adrift", sa.Boolean(), nullable=False, server_default=sa.false()))
    op.add_column("device", sa.Column("round_trip_ms", sa.BigInteger(), nullable=True))
    op.add_column("device", sa.Column("seen_at", sa.BigInteger(), nullable=True))
    op.add_column("device", sa.Column("clock_changed_at", sa.BigInteger(), nullable=True))
    op.add_column("device", sa.Column("clock_changed_by_ms", sa.BigInteger(), nullable=True))
    op.add_column("device", sa.Column("newest", sa.BigInteger(), nullable=False, server_default="0"))
    op.add_column("device", sa.Column("missing", sa.JSON(), nullable=False, server_default="[]"))
    op.add_column("device", sa.Column("lost", sa.JSON(), nullable=False, server_default="[]"))
    op.add_column("refusal", sa.Column("seq", sa.BigInteger(), nullable=True))
    op.add_column("refusal", sa.Column("digest", sa.Text(), nullable=False, server_default=""))
    op.execute(
        "UPDATE device SET seen_at = (SELECT max(received_at) FROM event WHERE event.device = device.id)"
    )
    _name_what_was_refused()
    op.create_index("ix_refusal_kept", "refusal", ["device", "digest"])
    op.create_index("ix_refusal_number", "refusal", ["device", "seq"])


def _name_what_was_refused() -> None:
    """As floor/services/refusals.py names it from now on."""
    connection = op.get_bind()
    refusal = sa.table(
        "refusal",
        sa.column("id"),
        sa.column("body"),
        sa.column("reason"),
        sa.column("seq"),
        sa.column("digest"),
    )
    for row in connection.execute(sa.select(refusal.c.id, refusal.c.body, refusal.c.reason)).all():
        digest = hashlib.sha256(f"{row.reason}\n{row.body}".encode()).hexdigest()
        named = sa.update(refusal).where(refusal.c.id == row.id)
        connection.execute(named.values(digest=digest, seq=_number_in(row.body)))


def _number_in(body: str) -> int | None:
    try:
        seq = json.loads(body)["seq"]
    except (ValueError, TypeError, KeyError):  # cut short or no event at all: it names no number
        return None
    return seq if type(seq) is int and 1 <= seq <= MAX_NUMBER else None


def downgrade() -> None:
    op.drop_index("ix_refusal_number", "refusal")
    op.drop_index("ix_refusal_kept", "refusal")
    for column in ("digest", "seq"):
        op.drop_column("refusal", column)
    for column in (
        "lost", "missing", "newest", "clock_changed_by_ms", "clock_changed_at", "seen_at", "round_trip_ms",
    ):  # fmt: skip
        op.drop_column("device", column)
    op.drop_column("event", "adrift")
