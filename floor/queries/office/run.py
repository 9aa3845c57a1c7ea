"""One run for the supervisor: where it stands and every event of it, in the order of replay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.events import Kind
from floor.queries.office.clock_words import clock_note
from floor.queries.office.jobs import load_words
from floor.queries.office.timelog import RunLog, run_log
from floor.queries.office.words import moment_words, second_words
from floor.store.models import EventRow, JobRow, PhaseTimeRow, RunRow, VerdictRow, db

LATE_MS = 60_000
ANOTHER_TABLET = "another tablet"


@dataclass(frozen=True)
class EventLine:
    """`fate`: "in force", "taken back" or "set aside". `late`: when the server got it, if well after
    it happened and not together with the line above; "" otherwise. `clock`: what was amiss with its tablet's.
    `operator`: whose hands the run was in; who tapped at a tablet that did not have it nobody knows."""

    when: str
    operator: str
    sentence: str
    fate: str
    reason: str
    by: str | None
    phase: str
    late: str
    clock: str


@dataclass(frozen=True)
class RunPage:
    run: str
    job_code: str
    job_title: str
    title: str
    garments: str
    status: str
    phase: int
    phase_count: int
    phase_title: str
    operator: str
    opened: str
    ended: str
    attempt: int
    cause: str
    refusal: str
    sent_back: str
    first_piece: bool
    owed: bool
    log: RunLog
    events: tuple[EventLine, ...]


def run_page(run_id: str) -> RunPage | None:
    """Everything of a run; None when no such run has reached the server."""
    run = db.session.get(RunRow, run_id)
    if run is None:
        return None
    job = db.session.get_one(JobRow, run.job_id)
    phases = list(
        db.session.scalars(
            select(PhaseTimeRow).where(PhaseTimeRow.run_id == run.id).order_by(PhaseTimeRow.phase)
        )
    )
    return RunPage(
        run=run.id,
        job_code=job.code,
        job_title=job.title,
        title=run.title,
        garments=load_words(run.garments),
        status=run.status,
        phase=run.phase + 1,
        phase_count=run.phase_count,
        phase_title=run.phase_title,
        operator=run.operator,
        opened=moment_words(run.opened_at),
        ended="" if run.ended_at is None else moment_words(run.ended_at),
        attempt=run.attempt,
        cause=run.cause,
        refusal=run.refusal,
        sent_back=run.sent_back,
        first_piece=run.first_piece,
        owed=run.approval_owed,
        log=run_log(run, phases),
        events=event_lines(run.id, {phase.phase: phase.title for phase in phases}),
    )


def event_lines(run_id: str, titles: Mapping[int, str]) -> tuple[EventLine, ...]:
    """The events of a run as sentences, in the order of replay, whatever became of them.

    `titles`: those of the phases that were begun, by index.
    """
    found = db.session.execute(
        select(EventRow, VerdictRow)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(EventRow.run == run_id)
        .order_by(VerdictRow.position)
    )
    lines, arrived, holder = [], "", ""
    newest: dict[str, EventRow] = {}
    for event, verdict in found:
        late = _late(event)
        phase = titles.get(event.phase, f"phase {event.phase + 1}")
        clock = clock_note(event, newest.get(event.device))
        if (event.kind == Kind.OPEN and not holder) or (event.kind == Kind.TAKE_OVER and verdict.in_force):
            holder = event.device
        who = verdict.operator if verdict.applied or event.device == holder else ANOTHER_TABLET
        lines.append(_event_line(event, verdict, who, phase, "" if late == arrived else late, clock))
        arrived, newest[event.device] = late, event
    return tuple(lines)


def _late(event: EventRow) -> str:
    when = event.at + event.offset_ms
    return moment_words(event.received_at) if event.received_at - when > LATE_MS else ""


def _event_line(
    event: EventRow, verdict: VerdictRow, who: str, phase: str, late: str, clock: str
) -> EventLine:
    applied = "in force" if verdict.in_force else "taken back"
    return EventLine(
        when=second_words(event.at + event.offset_ms),
        operator=who,
        sentence=verdict.sentence,
        fate=applied if verdict.applied else "set aside",
        reason=verdict.reason,
        by=event.by,
        phase=phase,
        late=late,
        clock=clock,
    )
