"""Pictures that a supervisor may delete to make room: those of jobs that nobody works on any more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select

from floor.queries.office.counts import counts_of
from floor.queries.views import job_view
from floor.store.models import JobRow, PhotoRow, RunRow, db


@dataclass(frozen=True)
class OldPhoto:
    id: str
    size: int


def old_photos(before_ms: int) -> list[OldPhoto]:
    """Pictures that came before then and whose job is finished or removed, or whose run never came, oldest first."""
    rows = db.session.execute(
        select(PhotoRow.id, PhotoRow.size, RunRow.job_id)
        .outerjoin(RunRow, RunRow.id == PhotoRow.run)
        .where(PhotoRow.deleted_at.is_(None), PhotoRow.received_at < before_ms)
        .order_by(PhotoRow.received_at)
    ).all()
    over = _finished(job_id for _, _, job_id in rows if job_id is not None)
    return [OldPhoto(id, size) for id, size, job_id in rows if job_id is None or job_id in over]


def _finished(job_ids: Iterable[int]) -> set[int]:
    over = set()
    for job_id in set(job_ids):
        job = db.session.get_one(JobRow, job_id)
        if job.removed_at is not None or counts_of(job_view(job).progress).all_finished:
            over.add(job_id)
    return over
