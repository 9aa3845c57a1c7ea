"""Jobs come in from job files and are removed; their log stays."""

from __future__ import annotations

import hashlib
import random
from dataclasses import asdict

from sqlalchemy import select

from floor.domain.job import HouseRules
from floor.domain.ticket import make_code, show_code
from floor.jobfile import JobSource
from floor.queries.shop_routes import shop_routes
from floor.queries.views import find_job
from floor.services.projection import project
from floor.store.database import writing
from floor.store.models import JobRevision, JobRow, RunRow, db


class AlreadyImported(ValueError):
    """The very same job file and outline are here already."""

    def __init__(self, job: JobRow) -> None:
        self.code = job.code
        self.removed = job.removed_at is not None
        what = "was removed; it can be put back" if self.removed else "is here already"
        super().__init__(
            f'This job file, outline and all, {what} as {show_code(job.code)} "{job.title}"; '
            "for a new order of the same, change its title or its due date."
        )


class UnknownJob(ValueError):
    pass


def import_job(source: JobSource, by: str, now_ms: int, house: HouseRules | None = None) -> JobRow:
    """Store a job that was read, with its outline, its route and the house's rules as they are today.

    Raises AlreadyImported when the same files made a job before.
    """
    digest = hashlib.sha256(f"{source.toml_text}\0{source.svg_text}".encode()).hexdigest()
    with writing():
        before = db.session.scalar(select(JobRevision).where(JobRevision.digest == digest))
        if before is not None:
            raise AlreadyImported(before.job)
        job = JobRow(
            code=_free_code(),
            title=source.job.title,
            customer=source.job.customer,
            due=source.job.due,
            created_at=now_ms,
        )
        job.revisions.append(
            JobRevision(
                number=1,
                digest=digest,
                job_text=source.toml_text,
                outline_name=source.svg_name,
                outline_text=source.svg_text,
                route_text=shop_routes()[source.job.route].text,
                house=asdict(house or HouseRules()),
                created_at=now_ms,
                created_by=by,
            )
        )
        db.session.add(job)
    return job


def _free_code() -> str:
    while True:
        code = make_code(random.SystemRandom())
        if find_job(code) is None:
            return code


def remove_job(code: str, by: str, now_ms: int) -> JobRow:
    """Take a job off the lists; its ticket then says so. What was logged stays. Raises UnknownJob."""
    with writing():
        job = _job(code)
        if job.removed_at is None:
            job.removed_at, job.removed_by = now_ms, by
            _weigh_again(job)
    return job


def restore_job(code: str) -> JobRow:
    """Put a removed job back. Raises UnknownJob."""
    with writing():
        job = _job(code)
        job.removed_at = job.removed_by = None
        _weigh_again(job)
    return job


def _weigh_again(job: JobRow) -> None:
    db.session.flush()
    project(db.session.scalars(select(RunRow.id).where(RunRow.job_id == job.id)).all())


def _job(code: str) -> JobRow:
    job = find_job(code)
    if job is None:
        raise UnknownJob(f"There is no job with the code {show_code(code)}.")
    return job
