"""Which of a job's garments have been begun."""

from __future__ import annotations

from sqlalchemy import select

from floor.domain.run_state import Status
from floor.store.models import JobRow, RunRow, db


def begun_loads(job: JobRow) -> list[tuple[int, ...]]:
    """The loads of the runs that were opened, refused ones too: something may have been sewn in them."""
    rows = select(RunRow.garments).where(RunRow.job_id == job.id, RunRow.own_status != Status.VOID.value)
    return [tuple(garments) for garments in db.session.scalars(rows)]
