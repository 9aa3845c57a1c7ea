"""The revisions of a job: which file made each, and what is different in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import func, select

from floor.domain.english import listed
from floor.domain.job import Job
from floor.queries.office.words import moment_words
from floor.queries.views import plan_of
from floor.store.models import JobRevision, JobRow, RunRow, db

PARTS: tuple[tuple[str, Callable[[Job], object]], ...] = (
    ("the title", lambda job: job.title),
    ("the customer", lambda job: job.customer),
    ("the due day", lambda job: job.due),
    ("the route", lambda job: job.route),
    ("the opening", lambda job: job.opening),
    ("the design's height", lambda job: job.design.height),
    ("the design's place", lambda job: job.design.centre),
    ("the layers", lambda job: job.layers),
    ("the hoop", lambda job: job.hoop),
    ("the backing", lambda job: job.backing),
    ("the machine", lambda job: job.machine),
    ("the garments", lambda job: job.garments),
)


@dataclass(frozen=True)
class RevisionLine:
    """`what`: what is different from the one before, in words; `runs`: how many went by it."""

    number: int
    when: str
    by: str
    outline: str
    what: str
    runs: int


def revision_lines(job: JobRow) -> tuple[RevisionLine, ...]:
    """The newest first."""
    counted = (
        select(RunRow.revision, func.count())
        .where(RunRow.job_id == job.id, RunRow.refusal == "")
        .group_by(RunRow.revision)
    )
    runs: dict[int, int] = {row[0]: row[1] for row in db.session.execute(counted)}
    before: list[JobRevision | None] = [None, *job.revisions]
    lines = [
        RevisionLine(
            number=one.number,
            when=moment_words(one.created_at),
            by=one.created_by,
            outline=one.outline_name,
            what=_changes(earlier, one) if earlier else "As the job came in.",
            runs=runs.get(one.number, 0),
        )
        for earlier, one in zip(before, job.revisions, strict=False)
    ]
    return tuple(reversed(lines))


def _changes(earlier: JobRevision, later: JobRevision) -> str:
    was, now = plan_of(earlier).job, plan_of(later).job
    found = [words for words, part in PARTS if part(was) != part(now)]
    if earlier.outline_text != later.outline_text:
        found.append("the outline")
    if was.route == now.route and earlier.route_text != later.route_text:
        found.append("how the shop works its route")
    if earlier.house != later.house:
        found.append("the house's rules")
    return f"Changed: {listed(found)}." if found else "Written differently, and says the same."
