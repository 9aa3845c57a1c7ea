"""Jobs come in from job files, are changed by new revisions and are removed; their log stays."""

from __future__ import annotations

import hashlib
import random
from dataclasses import asdict, replace

from sqlalchemy import select

from floor.domain.job import HouseRules
from floor.domain.revision import why_not_revised
from floor.domain.route import read_route
from floor.domain.ticket import make_code, show_code
from floor.jobfile import JobSource
from floor.queries.begun import begun_loads
from floor.queries.planned import plan_of_source
from floor.queries.shop_routes import shop_routes
from floor.queries.views import find_job, plan_of
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


class RevisionRefused(ValueError):
    """The job cannot be changed so; the message says why and what would do."""


def import_job(source: JobSource, by: str, now_ms: int, house: HouseRules | None = None) -> JobRow:
    """Store a job that was read, with its outline, its route and the house's rules as they are today.

    Raises AlreadyImported when the same files made a job before, NothingToSew where no plan can be made of them.
    """
    with writing():
        return add_job(source, by, now_ms, house)


def add_job(source: JobSource, by: str, now_ms: int, house: HouseRules | None = None) -> JobRow:
    """As `import_job`, inside the caller's transaction."""
    before = db.session.scalar(select(JobRevision).where(JobRevision.digest == _digest(source)))
    if before is not None:
        raise AlreadyImported(before.job)
    plan_of_source(source, shop_routes()[source.job.route].route)
    job = JobRow(code=_free_code(), created_at=now_ms)
    _append_revision(job, source, shop_routes()[source.job.route].text, by, now_ms, house or HouseRules())
    db.session.add(job)
    return job


def add_revision(
    job: JobRow, source: JobSource, by: str, now_ms: int, house: HouseRules | None = None
) -> JobRow:
    """Change a job by a new revision, inside the caller's transaction, with its route and the house's rules as
    they are today: what is begun from now on is made by it, and runs that have begun keep theirs.

    Raises NothingToSew; AlreadyImported when the same files made another job before; RevisionRefused where
    nothing is changed, the job was removed, or runs have begun that the change would belie: on another route,
    or with a garment that is gone or has another size.
    """
    if job.removed_at is not None:
        raise RevisionRefused(
            f'{show_code(job.code)} "{job.title}" was removed by {job.removed_by}; put it back before you change it.'
        )
    newest = job.revisions[-1]
    before = plan_of(newest)
    own_route = source.job.route == before.job.route
    shop_route = shop_routes().get(source.job.route)
    # The shop may have done away with a route; its jobs keep the text that they were begun with.
    route_text = (
        newest.route_text if shop_route is None and own_route else shop_routes()[source.job.route].text
    )
    rules = house or HouseRules()
    begun = begun_loads(job)
    if begun:  # the second front of a garment is set by the first: the order stays as it was begun
        rules = replace(rules, under_first=before.house.under_first)
    if (source.job, source.svg_text, route_text, rules) == (
        before.job, newest.outline_text, newest.route_text, before.house,
    ):  # fmt: skip
        raise RevisionRefused(
            f"Nothing is changed against revision {newest.number}; change something, or leave the job as it is."
        )
    _refuse_another_jobs_files(job, source)
    wrong = why_not_revised(before.job, source.job, begun)
    if wrong:
        raise RevisionRefused(wrong)
    plan_of_source(source, read_route(route_text))
    _append_revision(job, source, route_text, by, now_ms, rules)
    _weigh_again(job)
    return job


def _refuse_another_jobs_files(job: JobRow, source: JobSource) -> None:
    digest = _digest(source)
    alike = db.session.scalars(select(JobRevision).where(JobRevision.digest == digest)).all()
    # What the job itself once was it may be again, whoever else has the same files by now.
    if alike and all(revision.job is not job for revision in alike):
        raise AlreadyImported(alike[0].job)


def _append_revision(
    job: JobRow, source: JobSource, route_text: str, by: str, now_ms: int, house: HouseRules
) -> None:
    job.title, job.customer, job.due = source.job.title, source.job.customer, source.job.due
    job.revisions.append(
        JobRevision(
            number=len(job.revisions) + 1,
            digest=_digest(source),
            job_text=source.toml_text,
            outline_name=source.svg_name,
            outline_text=source.svg_text,
            route_text=route_text,
            house=asdict(house),
            created_at=now_ms,
            created_by=by,
        )
    )


def _digest(source: JobSource) -> str:
    return hashlib.sha256(f"{source.toml_text}\0{source.svg_text}".encode()).hexdigest()


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
