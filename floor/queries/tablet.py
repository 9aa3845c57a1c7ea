"""What the tablet's first page shows."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from floor.domain.run_state import ENDED, Status
from floor.domain.ticket import show_code
from floor.queries.hand import hand_numbers, learned_today
from floor.queries.machines import machines
from floor.queries.views import one_person_shop
from floor.store.models import JobRow, Person, RunRow, db

Page = dict[str, Any]

OVER = [status.value for status in ENDED] + [Status.VOID.value]
GOING = [status.value for status in Status if status.value not in OVER]  # asked for so, the index finds them


def shop() -> Page:
    """Who works here, at which machines, and how the shop lays and reads: every page of a tablet has it, so that
    the next run opens with it whether or not the server answers then."""
    people = db.session.scalars(select(Person).where(Person.active).order_by(Person.name))
    return {
        "people": [{"name": p.name, "supervisor": p.supervisor} for p in people],
        "one_person": one_person_shop(),
        "machines": machines(),
        "hand": hand_numbers(learned_today().hand),
    }


def home(demo: bool) -> Page:
    """The tablet's first page: the runs under way, and in the demo the tickets that lie on the table."""
    rows = db.session.execute(
        select(RunRow, JobRow)
        .join(JobRow, JobRow.id == RunRow.job_id)
        .where(RunRow.status.in_(GOING))
        .order_by(RunRow.last_at.desc())
    )
    jobs = db.session.scalars(select(JobRow).where(JobRow.removed_at.is_(None)).order_by(JobRow.due)).all()
    on_the_table = jobs if demo else []
    return {
        "screen": "home",
        "shop": shop(),
        "error": "",
        "typed": "",
        "has_jobs": bool(jobs),
        "runs": [run_line(run, job) for run, job in rows],
        "tickets": [
            {
                "code": job.code,
                "code_shown": show_code(job.code),
                "title": job.title,
                "customer": job.customer,
                "address": f"/T/{job.code}",
            }
            for job in on_the_table
        ],
    }


def run_line(run: RunRow, job: JobRow) -> Page:
    return {
        "run": run.id,
        "job_code": job.code,
        "job_code_shown": show_code(job.code),
        "job_title": job.title,
        "section": run.section,
        "title": run.title,
        "garments": run.garments,
        "phase_title": run.phase_title,
        "phase": run.phase,
        "phase_count": run.phase_count,
        "operator": run.operator,
        "status": run.status,
        "opened_at": run.opened_at,
    }
