"""The pictures of a job's phases, drawn once and kept."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from floor.domain.route import UnknownGarment, UnknownSection
from floor.drawing import closed_picture, phase_picture
from floor.queries.views import Plan, revision_plan
from floor.store.models import JobRow

PICTURES_KEPT_IN_MEMORY = 512


def closed_svg(job_row: JobRow, revision: int, size: str) -> str | None:
    plan = revision_plan(job_row, revision)
    return _closed(plan, size or plan.job.garments[0].size) if plan else None


@lru_cache(maxsize=PICTURES_KEPT_IN_MEMORY)
def _closed(plan: Plan, size: str) -> str:
    return closed_picture(plan.job, plan.outline, size)


def phase_svg(
    job_row: JobRow, revision: int, section: str, phase: int, options: Mapping[str, str]
) -> str | None:
    """The picture of one phase; None when job, section or phase is not there."""
    plan = revision_plan(job_row, revision)
    if plan is None:
        return None
    size = options.get("size", "")
    loaded = [g for g in plan.job.garments if g.size == size] or list(plan.job.garments)
    return _phase(plan, section, phase, loaded[0].size, options.get("first") == "1")


@lru_cache(maxsize=PICTURES_KEPT_IN_MEMORY)
def _phase(plan: Plan, section: str, phase: int, size: str, first_piece: bool) -> str | None:
    scope = next((s.scope for s in plan.sections if s.key == section), None)
    if scope is None:
        return None
    garment = next(g.number for g in plan.job.garments if g.size == size)
    try:
        checklist = plan.checklist(section, (garment,) if scope == "load" else (), first_piece)
    except (UnknownSection, UnknownGarment):
        return None
    if phase >= len(checklist.phases):
        return None
    return phase_picture(plan.job, plan.outline, checklist, phase, size)
