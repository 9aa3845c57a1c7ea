"""first tables

Revision ID: 0001
Revises:
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "device",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("offset_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_device")),
    )
    op.create_table(
        "event",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("run", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.Column("offset_ms", sa.BigInteger(), nullable=False),
        sa.Column("authority", sa.Text(), nullable=True),
        sa.Column("by", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_event")),
        sa.UniqueConstraint("device", "seq", name=op.f("uq_event_device")),
    )
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_event_received_at"), ["received_at"], unique=False)
        batch_op.create_index("ix_event_run", ["run"], unique=False)

    op.create_table(
        "job",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("customer", sa.Text(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("removed_at", sa.BigInteger(), nullable=True),
        sa.Column("removed_by", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
        sa.UniqueConstraint("code", name=op.f("uq_job_code")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("supervisor", sa.Boolean(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("name", name=op.f("uq_person_name")),
    )
    op.create_table(
        "refusal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("device", sa.Text(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_refusal")),
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
    )
    op.create_table(
        "job_revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("job_text", sa.Text(), nullable=False),
        sa.Column("outline_name", sa.Text(), nullable=False),
        sa.Column("outline_text", sa.Text(), nullable=False),
        sa.Column("route_text", sa.Text(), nullable=False),
        sa.Column("house", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_job_revision_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job_revision")),
        sa.UniqueConstraint("job_id", "number", name=op.f("uq_job_revision_job_id")),
    )
    with op.batch_alter_table("job_revision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_revision_digest"), ["digest"], unique=False)

    op.create_table(
        "run",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("section", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("garments", sa.JSON(), nullable=False),
        sa.Column("scrapped", sa.JSON(), nullable=False),
        sa.Column("first_piece", sa.Boolean(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("sent_back", sa.Text(), nullable=False),
        sa.Column("refusal", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("phase_count", sa.Integer(), nullable=False),
        sa.Column("phase_title", sa.Text(), nullable=False),
        sa.Column("approval_owed", sa.Boolean(), nullable=False),
        sa.Column("operator", sa.Text(), nullable=False),
        sa.Column("opened_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.Column("approved_at", sa.BigInteger(), nullable=True),
        sa.Column("last_at", sa.BigInteger(), nullable=False),
        sa.Column("jumps", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_run_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run")),
    )
    with op.batch_alter_table("run", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_run_job_id"), ["job_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_run_status"), ["status"], unique=False)

    op.create_table(
        "verdict",
        sa.Column("event_id", sa.Text(), nullable=False),
        sa.Column("run", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("applied", sa.Boolean(), nullable=False),
        sa.Column("in_force", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("operator", sa.Text(), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_verdict_event_id")),
        sa.PrimaryKeyConstraint("event_id", name=op.f("pk_verdict")),
    )
    with op.batch_alter_table("verdict", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_verdict_run"), ["run"], unique=False)

    op.create_table(
        "phase_time",
        sa.Column("run_id", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("layer", sa.Integer(), nullable=True),
        sa.Column("expected_s", sa.Double(), nullable=False),
        sa.Column("work_s", sa.Double(), nullable=False),
        sa.Column("rework_s", sa.Double(), nullable=False),
        sa.Column("waiting_s", sa.Double(), nullable=False),
        sa.Column("pause_s", sa.Double(), nullable=False),
        sa.Column("problem_s", sa.Double(), nullable=False),
        sa.Column("started", sa.BigInteger(), nullable=False),
        sa.Column("ended", sa.BigInteger(), nullable=True),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.Column("jumps", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name=op.f("fk_phase_time_run_id")),
        sa.PrimaryKeyConstraint("run_id", "phase", name=op.f("pk_phase_time")),
    )
    op.create_table(
        "problem",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("run_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("phase_title", sa.Text(), nullable=False),
        sa.Column("operator", sa.Text(), nullable=False),
        sa.Column("told_at", sa.BigInteger(), nullable=False),
        sa.Column("cleared_at", sa.BigInteger(), nullable=True),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("decided_by", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["id"], ["event.id"], name=op.f("fk_problem_id")),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name=op.f("fk_problem_run_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_problem")),
    )
    with op.batch_alter_table("problem", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_problem_run_id"), ["run_id"], unique=False)

    # Truth is only ever added to.
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER event_no_{verb.lower()} BEFORE {verb} ON event "
            "BEGIN SELECT RAISE(ABORT, 'events are never changed and never deleted'); END"
        )


def downgrade() -> None:
    for verb in ("update", "delete"):
        op.execute(f"DROP TRIGGER event_no_{verb}")
    with op.batch_alter_table("problem", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_problem_run_id"))

    op.drop_table("problem")
    op.drop_table("phase_time")
    with op.batch_alter_table("verdict", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_verdict_run"))

    op.drop_table("verdict")
    with op.batch_alter_table("run", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_run_status"))
        batch_op.drop_index(batch_op.f("ix_run_job_id"))

    op.drop_table("run")
    with op.batch_alter_table("job_revision", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_revision_digest"))

    op.drop_table("job_revision")
    op.drop_table("setting")
    op.drop_table("refusal")
    op.drop_table("person")
    op.drop_table("job")
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.drop_index("ix_event_run")
        batch_op.drop_index(batch_op.f("ix_event_received_at"))

    op.drop_table("event")
    op.drop_table("device")
