"""What went wrong, and what could not be taken as an event at all."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.problems import KINDS
from floor.queries.office.jobs import load_words, problem_words
from floor.queries.office.words import moment_words, span_words
from floor.store.models import JobRow, ProblemRow, Refusal, RunRow, db

MOST_SHOWN = 300


@dataclass(frozen=True)
class ProblemLine:
    """A problem that was told of; `event`: the one that told of it."""

    event: str
    words: str
    note: str
    open: bool
    open_for: str
    told: str
    operator: str
    job_code: str
    job_title: str
    run: str
    garments: str
    section: str
    phase_title: str
    how: str
    decided_by: str | None


@dataclass(frozen=True)
class RefusalLine:
    reason: str
    body: str
    device: str
    when: str


@dataclass(frozen=True)
class Choice:
    value: str
    words: str


def problem_lines(
    now_ms: int, kind: str = "", job_code: str = "", job_id: int | None = None
) -> list[ProblemLine]:
    """Open ones first, then the newest; at most MOST_SHOWN."""
    query = (
        select(ProblemRow, RunRow, JobRow)
        .join(RunRow, ProblemRow.run_id == RunRow.id)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .order_by(ProblemRow.cleared_at.is_not(None), ProblemRow.told_at.desc())
        .limit(MOST_SHOWN)
    )
    if kind:
        query = query.where(ProblemRow.kind == kind)
    if job_code:
        query = query.where(JobRow.code == job_code)
    if job_id is not None:
        query = query.where(JobRow.id == job_id)
    return [_problem_line(problem, run, job, now_ms) for problem, run, job in db.session.execute(query)]


def _problem_line(problem: ProblemRow, run: RunRow, job: JobRow, now_ms: int) -> ProblemLine:
    until = now_ms if problem.cleared_at is None else problem.cleared_at
    return ProblemLine(
        event=problem.id,
        words=problem_words(problem.kind),
        note=problem.note,
        open=problem.cleared_at is None,
        open_for=span_words(max(0, until - problem.told_at) / 1000),
        told=moment_words(problem.told_at),
        operator=problem.operator,
        job_code=job.code,
        job_title=job.title,
        run=run.id,
        garments=load_words(run.garments),
        section=run.title,
        phase_title=problem.phase_title,
        how=problem.how,
        decided_by=problem.decided_by,
    )


def kind_choices() -> list[Choice]:
    return [Choice(kind.id, kind.words) for kind in KINDS]


def job_choices() -> list[Choice]:
    """Jobs that ever had a problem."""
    rows = db.session.scalars(
        select(JobRow)
        .where(JobRow.id.in_(select(RunRow.job_id).join(ProblemRow, ProblemRow.run_id == RunRow.id)))
        .order_by(JobRow.title)
    )
    return [Choice(row.code, row.title) for row in rows]


def refusal_lines() -> list[RefusalLine]:
    """What could not be read as an event, newest first; at most MOST_SHOWN."""
    rows = db.session.scalars(select(Refusal).order_by(Refusal.received_at.desc()).limit(MOST_SHOWN))
    return [
        RefusalLine(row.reason, row.body, row.device or "unknown", moment_words(row.received_at))
        for row in rows
    ]
