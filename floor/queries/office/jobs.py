"""The list of jobs, and the runs that are going on now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from floor.domain.english import numbered
from floor.domain.problems import PROBLEMS
from floor.domain.run_state import Status
from floor.domain.ticket import show_code
from floor.queries.office.counts import Counts, counts_of
from floor.queries.office.words import ago_words, day_words, due_words, local_day, moment_words
from floor.queries.views import JobView, job_view
from floor.store.models import JobRow, ProblemRow, RunRow, db

GOING_ON = (Status.WORKING.value, Status.PAUSED.value, Status.HELD.value)


@dataclass(frozen=True)
class JobLine:
    code: str
    code_shown: str
    title: str
    customer: str
    due: str
    due_words: str
    late: bool
    counts: Counts


@dataclass(frozen=True)
class RemovedLine:
    code: str
    code_shown: str
    title: str
    customer: str
    removed: str
    removed_by: str


@dataclass(frozen=True)
class RunLine:
    """A run under way. `problems`: what is open, in words; `owed`: it waits for a first-piece approval."""

    run: str
    job_code: str
    job_title: str
    title: str
    garments: str
    phase: int
    phase_count: int
    phase_title: str
    operator: str
    status: str
    owed: bool
    problems: tuple[str, ...]
    last: str
    first_piece: bool

    @property
    def held(self) -> bool:
        return self.status == Status.HELD

    @property
    def paused(self) -> bool:
        return self.status == Status.PAUSED


def job_line(view: JobView, today: date) -> JobLine:
    row, counts = view.row, counts_of(view.progress)
    return JobLine(
        code=row.code,
        code_shown=show_code(row.code),
        title=row.title,
        customer=row.customer,
        due=day_words(row.due),
        due_words=due_words(row.due, today, counts.all_finished),
        late=row.due < today and not counts.all_finished,
        counts=counts,
    )


def job_lines(now_ms: int) -> list[JobLine]:
    """Jobs that are not removed: what is unfinished first, the soonest due at the top."""
    today = local_day(now_ms)
    rows = db.session.scalars(
        select(JobRow).where(JobRow.removed_at.is_(None)).order_by(JobRow.due, JobRow.id)
    )
    return sorted((job_line(job_view(row), today) for row in rows), key=lambda line: line.counts.all_finished)


def first_job_view() -> JobView | None:
    """The job that is due first, as the demo's table shows it; None while there is none."""
    row = db.session.scalar(
        select(JobRow).where(JobRow.removed_at.is_(None)).order_by(JobRow.due, JobRow.id).limit(1)
    )
    return job_view(row) if row else None


def removed_lines() -> list[RemovedLine]:
    rows = db.session.scalars(
        select(JobRow).where(JobRow.removed_at.is_not(None)).order_by(JobRow.removed_at.desc())
    )
    return [
        RemovedLine(
            row.code,
            show_code(row.code),
            row.title,
            row.customer,
            moment_words(row.removed_at or 0),
            row.removed_by or "",
        )
        for row in rows
    ]


def runs_going_on(now_ms: int, job_id: int | None = None) -> list[RunLine]:
    """Runs that have not ended, of all jobs or of one: those that wait for somebody first."""
    query = (
        select(RunRow, JobRow)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(RunRow.status.in_(GOING_ON), RunRow.refusal == "", JobRow.removed_at.is_(None))
        .order_by(RunRow.last_at.desc())
    )
    if job_id is not None:
        query = query.where(RunRow.job_id == job_id)
    found = db.session.execute(query).all()
    problems = _open_problems([run.id for run, _ in found])
    lines = [_run_line(run, job, problems.get(run.id, ()), now_ms) for run, job in found]
    return sorted(lines, key=lambda line: not (line.owed or line.problems))


def _open_problems(runs: Sequence[str]) -> dict[str, tuple[str, ...]]:
    rows = db.session.scalars(
        select(ProblemRow)
        .where(ProblemRow.run_id.in_(runs), ProblemRow.cleared_at.is_(None))
        .order_by(ProblemRow.told_at)
    )
    found: dict[str, tuple[str, ...]] = {}
    for row in rows:
        found[row.run_id] = (*found.get(row.run_id, ()), problem_words(row.kind))
    return found


def problem_words(kind: str) -> str:
    known = PROBLEMS.get(kind)
    return known.words if known else kind


def load_words(garments: Sequence[int]) -> str:
    """ "Garment 4", "Garments 1 to 6", or "The whole job" for a run that is done once for all."""
    return numbered("Garment", list(garments)) if garments else "The whole job"


def _run_line(run: RunRow, job: JobRow, problems: tuple[str, ...], now_ms: int) -> RunLine:
    return RunLine(
        run=run.id,
        job_code=job.code,
        job_title=job.title,
        title=run.title,
        garments=load_words(run.garments),
        phase=run.phase + 1,
        phase_count=run.phase_count,
        phase_title=run.phase_title,
        operator=run.operator,
        status=run.status,
        owed=run.approval_owed,
        problems=problems,
        last=ago_words(run.last_at, now_ms),
        first_piece=run.first_piece,
    )
