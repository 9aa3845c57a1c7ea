"""Events -> the rows that pages read: runs, phase times, problems, placings, meetings and verdicts.

The same code writes them as events come in, makes them all again for `floor rebuild`, and computes what they
ought to be for `floor check`.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select

from floor.domain.history import CLOCK_GRACE_MS, Beginning
from floor.domain.progress import JobProgress, RunFacts
from floor.domain.run_state import Status
from floor.queries.events import events_of_run
from floor.queries.views import facts_of, plan_of, progress_of
from floor.services.numbers_proved import count_again
from floor.services.opened_runs import OpenedRun, open_run, weighed
from floor.services.projected_rows import Projection, add_aside, add_rows
from floor.services.projected_tables import TABLES, stored, write
from floor.store.models import EventRow, JobRow, RunRow, db

__all__ = [
    "PROJECTION_VERSION",
    "TABLES",
    "Projection",
    "everything",
    "make_again",
    "project",
    "stored",
    "write",
]

PROJECTION_VERSION = 5
"""To be raised whenever the same events come to other rows: other expected times, sentences or rules. A shop
whose rows were made by another version has them made again when it is opened."""


def project(touched: Iterable[str]) -> None:
    """Bring the projections of these runs up to date, and those of runs of the same job whose right to exist
    changes with them. Inside the caller's transaction."""
    wanted = Projection()
    by_job: dict[int, dict[str, OpenedRun]] = {}
    runs = set(touched)
    for run in sorted(runs):
        before = db.session.get(RunRow, run)
        if before is not None:  # an opening that arrives late may move the run to another job
            by_job.setdefault(before.job_id, {})
        events = events_of_run(run)
        found = open_run(run, events)
        if isinstance(found, OpenedRun):
            by_job.setdefault(found.job.id, {})[run] = found
        else:
            add_aside(wanted, run, events, found)
    for job_id, opened in by_job.items():
        runs |= _project_job(wanted, job_id, opened, runs)
    write(wanted, runs)


def _project_job(
    wanted: Projection, job_id: int, opened: dict[str, OpenedRun], touched: set[str]
) -> set[str]:
    """Add to `wanted` the rows of the runs `opened`, and of those of the job that change with them; which they
    are. Runs that nothing hangs on are taken from their rows, or each tap would replay the whole job."""
    job = db.session.get(JobRow, job_id)
    assert job is not None  # a run's row or its opening names it
    rows = {
        row.id: row
        for row in db.session.scalars(select(RunRow).where(RunRow.job_id == job_id))
        if row.id not in touched
    }
    opened = opened | {run: _opened_before(run) for run, row in rows.items() if row.reopened}
    rest = {run: row for run, row in rows.items() if run not in opened}
    opened = weighed(
        opened,
        (
            Beginning(run, row.title, tuple(row.garments), row.opened_at)
            for run, row in rest.items()
            if row.own_status != Status.VOID
        ),
    )
    facts = {run: one.facts() for run, one in opened.items()} | {r: facts_of(row) for r, row in rest.items()}
    progress = progress_of(plan_of(job.revisions[-1]), facts.values())
    for run, row in rest.items():
        now = refusal_of(run, job, facts[run], progress), progress.attempts.get(run, 1)
        if (row.refusal, row.attempt) != now:
            opened[run] = _opened_before(run)
    for run, one in opened.items():
        add_rows(wanted, one, facts[run], progress, refusal_of(run, job, facts[run], progress))
    return set(opened)


def _opened_before(run: str) -> OpenedRun:
    found = open_run(run, events_of_run(run))
    assert isinstance(found, OpenedRun)  # its row says that it was opened
    return found


def refusal_of(run: str, job: JobRow, facts: RunFacts, progress: JobProgress) -> str:
    if job.removed_at is not None and facts.opened_at > job.removed_at + CLOCK_GRACE_MS:
        return f"The job had been removed by {job.removed_by}."
    return progress.refusals.get(run, "")


def make_again() -> int:
    """All projections anew, from events alone, inside the caller's transaction; how many runs there are."""
    wanted = everything()
    write(Projection())
    write(wanted)
    count_again()
    return len(wanted.runs)


def everything() -> Projection:
    """What all projections should hold, from events alone."""
    wanted = Projection()
    by_job: dict[int, dict[str, OpenedRun]] = {}
    for run in db.session.scalars(select(EventRow.run).distinct().order_by(EventRow.run)).all():
        events = events_of_run(run)
        found = open_run(run, events)
        if isinstance(found, OpenedRun):
            by_job.setdefault(found.job.id, {})[run] = found
        else:
            add_aside(wanted, run, events, found)
    for alone in by_job.values():
        opened = weighed(alone, ())
        facts = {run: one.facts() for run, one in opened.items()}
        job = next(iter(opened.values())).job
        progress = progress_of(plan_of(job.revisions[-1]), facts.values())
        for run, one in opened.items():
            add_rows(wanted, one, facts[run], progress, refusal_of(run, job, facts[run], progress))
    return wanted
