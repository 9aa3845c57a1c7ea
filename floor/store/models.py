"""The tables. Truth is `event` (insert only); `run`, `phase_time`, `problem`, `placing`, `meeting` and `verdict` are
projections, made again from the events by `floor rebuild`. Times are ms by the server's clock unless said otherwise."""

from __future__ import annotations

from datetime import date
from typing import Any

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import (
    JSON,
    BigInteger,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship


class Base(DeclarativeBase):
    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


db = SQLAlchemy(model_class=Base)


class Person(Base):
    """Somebody who works in the shop. Only supervisors have a password."""

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    supervisor: Mapped[bool]
    password_hash: Mapped[str | None] = mapped_column(Text)
    active: Mapped[bool] = mapped_column(default=True)


class Setting(Base):
    """A value the shop keeps: its secret key, its machines' names, and that this folder holds a demo."""

    __tablename__ = "setting"

    name: Mapped[str] = mapped_column(Text, primary_key=True)
    value: Mapped[str] = mapped_column(Text)


class JobRow(Base):
    """What a customer ordered. `code`: the ticket's code, without hyphen. A removed job keeps its log."""

    __tablename__ = "job"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    title: Mapped[str] = mapped_column(Text)
    customer: Mapped[str] = mapped_column(Text)
    due: Mapped[date]
    created_at: Mapped[int] = mapped_column(BigInteger)
    removed_at: Mapped[int | None] = mapped_column(BigInteger)
    removed_by: Mapped[str | None] = mapped_column(Text)
    revisions: Mapped[list[JobRevision]] = relationship(
        back_populates="job", order_by="JobRevision.number", cascade="all, delete-orphan"
    )


class JobRevision(Base):
    """A job file as it was read, with its outline, its route and the house's rules of that day, all kept as
    they were: an old run's checklist is made from these. `digest`: sha256 of job file and outline."""

    __tablename__ = "job_revision"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"))
    number: Mapped[int]
    digest: Mapped[str] = mapped_column(Text, index=True)
    job_text: Mapped[str] = mapped_column(Text)
    outline_name: Mapped[str] = mapped_column(Text)
    outline_text: Mapped[str] = mapped_column(Text)
    route_text: Mapped[str] = mapped_column(Text)
    house: Mapped[dict[str, Any]] = mapped_column(JSON)
    created_at: Mapped[int] = mapped_column(BigInteger)
    created_by: Mapped[str] = mapped_column(Text)
    job: Mapped[JobRow] = relationship(back_populates="revisions")


class DraftRow(Base):
    """A job that is being set up, as it was typed. `form`: as floor/jobfile/form.py has it; `outline_text`: ""
    while there is none; `job_id`: the job that it will change, None for a new one; `revision`: that job's newest
    one when the draft was begun; `dropped_at`: put away."""

    __tablename__ = "draft"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("job.id"))
    revision: Mapped[int | None]
    form: Mapped[dict[str, str]] = mapped_column(JSON)
    outline_name: Mapped[str] = mapped_column(Text)
    outline_text: Mapped[str] = mapped_column(Text)
    made_by: Mapped[str] = mapped_column(Text)
    changed_at: Mapped[int] = mapped_column(BigInteger)
    dropped_at: Mapped[int | None] = mapped_column(BigInteger)
    job: Mapped[JobRow | None] = relationship()


class Device(Base):
    """A tablet (or the office page) that has sent something. `seen_at`: when it last did. `offset_ms`: server's
    clock minus its own, as newly measured; `round_trip_ms`: how long that measurement took, None while it was
    only told from when a batch was sent; `clock_changed_at`, `_by_ms`: when two measurements last differed, and
    by how much the tablet's clock had moved on. `newest`, `missing`, `lost`: the numbers of its events, as
    floor/domain/gaps.py has them."""

    __tablename__ = "device"

    id: Mapped[str] = mapped_column(Text, primary_key=True)
    offset_ms: Mapped[int] = mapped_column(BigInteger)
    round_trip_ms: Mapped[int | None] = mapped_column(BigInteger)
    seen_at: Mapped[int | None] = mapped_column(BigInteger)
    clock_changed_at: Mapped[int | None] = mapped_column(BigInteger)
    clock_changed_by_ms: Mapped[int | None] = mapped_column(BigInteger)
    newest: Mapped[int] = mapped_column(BigInteger, default=0)
    missing: Mapped[list[list[int]]] = mapped_column(JSON, default=list)
    lost: Mapped[list[list[int]]] = mapped_column(JSON, default=list)


class EventRow(Base):
    """One fact, as the tablet sent it, and what the server added. Inserted, never changed, never deleted:
    triggers hold that. `run` points nowhere: an event may arrive before the one that opens its run.
    `at`: the tablet's own clock, ms; `adrift`: that clock had changed before it in a way nobody measured."""

    __tablename__ = "event"
    __table_args__ = (
        UniqueConstraint("device", "seq"),
        Index("ix_event_run", "run"),
        Index("ix_event_photo", "received_at", sqlite_where=text("kind = 'photo'")),
    )

    id: Mapped[str] = mapped_column(Text, primary_key=True)
    run: Mapped[str] = mapped_column(Text)
    device: Mapped[str] = mapped_column(Text)
    seq: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(Text)
    phase: Mapped[int]
    at: Mapped[int] = mapped_column(BigInteger)
    data: Mapped[dict[str, Any]] = mapped_column(JSON)
    received_at: Mapped[int] = mapped_column(BigInteger, index=True)
    offset_ms: Mapped[int] = mapped_column(BigInteger)
    authority: Mapped[str | None] = mapped_column(Text)
    by: Mapped[str | None] = mapped_column(Text)
    adrift: Mapped[bool] = mapped_column(default=False)


class Refusal(Base):
    """Something a tablet sent that could not be taken as an event; kept whole, for a supervisor to see. `seq`:
    the number that it names, if it names one: that one did not get lost. `digest`: of reason and body, by which
    one that comes again is found."""

    __tablename__ = "refusal"
    __table_args__ = (
        Index("ix_refusal_kept", "device", "digest"),
        Index("ix_refusal_number", "device", "seq"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    device: Mapped[str | None] = mapped_column(Text)
    body: Mapped[str] = mapped_column(Text)
    reason: Mapped[str] = mapped_column(Text)
    received_at: Mapped[int] = mapped_column(BigInteger)
    seq: Mapped[int | None] = mapped_column(BigInteger)
    digest: Mapped[str] = mapped_column(Text)


class PhotoRow(Base):
    """A picture that an operator took, as a JPEG without anything but pixels. Its event says what it shows; either may
    be here without the other, so `run` points nowhere. `digest`: sha256 of what was sent, by which a repeat is known;
    `size`: bytes kept. Deleted to make room, only `data` goes; it comes last, so that the rest is read without it."""

    __tablename__ = "photo"
    __table_args__ = (Index("ix_photo_run", "run"), Index("ix_photo_size", "size"))

    id: Mapped[str] = mapped_column(Text, primary_key=True)
    run: Mapped[str] = mapped_column(Text)
    device: Mapped[str] = mapped_column(Text)
    digest: Mapped[str] = mapped_column(Text)
    received_at: Mapped[int] = mapped_column(BigInteger)
    width: Mapped[int]
    height: Mapped[int]
    size: Mapped[int]
    deleted_at: Mapped[int | None] = mapped_column(BigInteger)
    deleted_by: Mapped[str | None] = mapped_column(Text)
    data: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)


class VerdictRow(Base):
    """Projection: what became of an event. `position`: its place in the run's one order of replay; `settled`: the
    event by which a supervisor settled what had been set aside, "" where none did."""

    __tablename__ = "verdict"
    __table_args__ = (
        Index("ix_verdict_aside", "run", sqlite_where=text("applied IS 0")),
        Index("ix_verdict_settled", "settled", sqlite_where=text("settled != ''")),
    )

    event_id: Mapped[str] = mapped_column(ForeignKey("event.id"), primary_key=True)
    run: Mapped[str] = mapped_column(Text, index=True)
    position: Mapped[int]
    applied: Mapped[bool]
    in_force: Mapped[bool]
    reason: Mapped[str] = mapped_column(Text)
    operator: Mapped[str] = mapped_column(Text)
    sentence: Mapped[str] = mapped_column(Text)
    settled: Mapped[str] = mapped_column(Text, default="")


class RunRow(Base):
    """Projection: a run as its events leave it. `garments`, `scrapped`: lists of numbers, `scrapped_at`: when
    each was; `refusal`: why it may not exist, "" when it may; `phase`: the index it stands at; `approvals`:
    [from, until] of each stretch in which its approval stood; `reopened`: whether an undo in it is to be
    weighed against other runs; `own_status`, `own_ended_at`: what they would be were it not refused, so that
    it can be weighed again without a replay; `machine`: the name of the one that the tablet stood at, "" where
    none was told; `hoop`: its job's field, "360 x 200"."""

    __tablename__ = "run"

    id: Mapped[str] = mapped_column(Text, primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    revision: Mapped[int]
    section: Mapped[str] = mapped_column(Text)
    title: Mapped[str] = mapped_column(Text)
    garments: Mapped[list[int]] = mapped_column(JSON)
    scrapped: Mapped[list[int]] = mapped_column(JSON)
    scrapped_at: Mapped[list[int]] = mapped_column(JSON)
    first_piece: Mapped[bool]
    cause: Mapped[str] = mapped_column(Text)
    attempt: Mapped[int]
    status: Mapped[str] = mapped_column(Text, index=True)
    sent_back: Mapped[str] = mapped_column(Text)
    refusal: Mapped[str] = mapped_column(Text)
    phase: Mapped[int]
    phase_count: Mapped[int]
    phase_title: Mapped[str] = mapped_column(Text)
    approval_owed: Mapped[bool]
    operator: Mapped[str] = mapped_column(Text)
    opened_at: Mapped[int] = mapped_column(BigInteger)
    ended_at: Mapped[int | None] = mapped_column(BigInteger)
    approved_at: Mapped[int | None] = mapped_column(BigInteger)
    approvals: Mapped[list[Any]] = mapped_column(JSON)
    reopened: Mapped[bool]
    own_status: Mapped[str] = mapped_column(Text)
    own_ended_at: Mapped[int | None] = mapped_column(BigInteger)
    last_at: Mapped[int] = mapped_column(BigInteger)
    jumps: Mapped[int]
    machine: Mapped[str] = mapped_column(Text)
    hoop: Mapped[str] = mapped_column(Text)


class PhaseTimeRow(Base):
    """Projection: what a phase of a run took so far, up to the run's newest event; seconds."""

    __tablename__ = "phase_time"

    run_id: Mapped[str] = mapped_column(ForeignKey("run.id"), primary_key=True)
    phase: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text)
    title: Mapped[str] = mapped_column(Text)
    who: Mapped[str] = mapped_column(Text)
    layer: Mapped[int | None]
    expected_s: Mapped[float]
    work_s: Mapped[float]
    rework_s: Mapped[float]
    waiting_s: Mapped[float]
    pause_s: Mapped[float]
    problem_s: Mapped[float]
    started: Mapped[int] = mapped_column(BigInteger)
    ended: Mapped[int | None] = mapped_column(BigInteger)
    times: Mapped[int]
    jumps: Mapped[int]


class ProblemRow(Base):
    """Projection: a problem of a run, open until `cleared_at`. `id`: the event that told of it."""

    __tablename__ = "problem"

    id: Mapped[str] = mapped_column(ForeignKey("event.id"), primary_key=True)
    run_id: Mapped[str] = mapped_column(ForeignKey("run.id"), index=True)
    kind: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text)
    phase: Mapped[int]
    phase_title: Mapped[str] = mapped_column(Text)
    operator: Mapped[str] = mapped_column(Text)
    told_at: Mapped[int] = mapped_column(BigInteger)
    cleared_at: Mapped[int | None] = mapped_column(BigInteger)
    how: Mapped[str] = mapped_column(Text)
    decided_by: Mapped[str | None] = mapped_column(Text)


class PlacingRow(Base):
    """Projection: a settled round of readings of a place, as floor/domain/placings.py tells it. `size`: of its
    garment; `nudge_along`, `nudge_across`: how the start was moved then; `at`: when its last reading was taken.
    Lengths in mm."""

    __tablename__ = "placing"
    __table_args__ = (Index("ix_placing_learned", "kind", "fresh", "at"),)

    run_id: Mapped[str] = mapped_column(ForeignKey("run.id"), primary_key=True)
    phase: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text)
    garment: Mapped[int]
    size: Mapped[str] = mapped_column(Text)
    front: Mapped[str] = mapped_column(Text)
    kind: Mapped[str] = mapped_column(Text)
    fresh: Mapped[bool]
    readings: Mapped[list[float]] = mapped_column(JSON)
    takes: Mapped[float]
    pairs: Mapped[list[float]] = mapped_column(JSON)
    along: Mapped[float]
    across: Mapped[float]
    skew_deg: Mapped[float]
    stretch: Mapped[float]
    height: Mapped[float]
    worst: Mapped[float | None]
    risk: Mapped[float | None]
    verdict: Mapped[str] = mapped_column(Text)
    sure: Mapped[str] = mapped_column(Text)
    did: Mapped[str] = mapped_column(Text)
    nudge_along: Mapped[float]
    nudge_across: Mapped[float]
    at: Mapped[int] = mapped_column(BigInteger)


class MeetingRow(Base):
    """Projection: a garment closed and compared, as floor/domain/meetings.py tells it. `steps`, `gaps`: found, by
    crossing, mm; `at`: when the last was measured."""

    __tablename__ = "meeting"

    run_id: Mapped[str] = mapped_column(ForeignKey("run.id"), primary_key=True)
    phase: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text)
    garment: Mapped[int]
    size: Mapped[str] = mapped_column(Text)
    steps: Mapped[dict[str, float]] = mapped_column(JSON)
    gaps: Mapped[dict[str, float]] = mapped_column(JSON)
    worst_step: Mapped[float | None]
    worst_gap: Mapped[float | None]
    passes: Mapped[float]
    outcome: Mapped[str] = mapped_column(Text)
    at: Mapped[int] = mapped_column(BigInteger, index=True)
