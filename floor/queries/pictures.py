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
    """The picture of one phase; None when job, section or phase is not there.

    `options`: the load's `size`, how many garments are in it (`load`), whether it is the `first` piece. Which
    garments they are makes no difference to a picture, but each has its own phases within the load.
    """
    plan = revision_plan(job_row, revision)
    if plan is None:
        return None
    wanted = options.get("size", "")
    garments = sorted(plan.job.garments, key=lambda garment: garment.size != wanted)
    count = options.get("load", "1")
    load = int(count) if count in {str(n) for n in range(1, len(garments) + 1)} else 1
    numbers = tuple(garment.number for garment in garments[:load])
    return _phase(plan, section, phase, garments[0].size, numbers, options.get("first") == "1")


@lru_cache(maxsize=PICTURES_KEPT_IN_MEMORY)
def _phase(
    plan: Plan, section: str, phase: int, size: str, garments: tuple[int, ...], first_piece: bool
) -> str | None:
    scope = next((s.scope for s in plan.sections if s.key == section), None)
    if scope is None:
        return None
    try:
        checklist = plan.checklist(section, garments if scope == "load" else (), first_piece)
    except (UnknownSection, UnknownGarment):
        return None
    if phase >= len(checklist.phases):
        return None
    return phase_picture(plan.job, plan.outline, checklist, phase, size)
