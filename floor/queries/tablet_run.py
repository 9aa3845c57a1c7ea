"""What the tablet's run page needs: the checklist, the events so far, and the words to choose from."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import asdict, replace
from typing import Any

from sqlalchemy import select

from floor.domain.checklist import Checklist
from floor.domain.events import Kind
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.run_state import Status
from floor.drawing.seam_strip import seam_strip
from floor.queries.events import events_of_run, opening_of
from floor.queries.tablet import OVER, shop
from floor.queries.tablet_job import job_line, next_load
from floor.queries.views import JobView, Plan, facts_of, job_view, progress_of, revision_plan
from floor.store.models import EventRow, JobRow, RunRow, VerdictRow, db

Page = dict[str, Any]


def catalogue() -> Page:
    return {
        "problems": {name: asdict(kind) for name, kind in PROBLEMS.items()},
        "pause_reasons": dict(PAUSE_REASONS),
        "redo_causes": dict(REDO_CAUSES),
        "scrap_causes": dict(SCRAP_CAUSES),
    }


def run(run_id: str) -> Page | None:
    """All that a run page needs to go on by itself; None when the server knows no such run."""
    row = db.session.get(RunRow, run_id)
    if row is None:
        return None
    job_row = db.session.get(JobRow, row.job_id)
    assert job_row is not None  # the run's row points at it
    view = job_view(job_row)
    plan = revision_plan(job_row, row.revision)
    assert plan is not None  # the run was projected with it
    events = events_of_run(run_id)
    opening = opening_of(row, events)
    checklist = plan.checklist(row.section, opening.garments, opening.first_piece, opening.hand)
    loaded = [plan.job.garment(number) for number in row.garments]
    size = loaded[0].size if loaded else plan.job.garments[0].size
    address = f"/tablet/picture/{job_row.code}/{row.revision}/{row.section}"
    query = f"?size={size}&load={max(1, len(opening.garments))}&first={int(opening.first_piece)}"
    return {
        "screen": "run",
        "shop": shop(),
        "run": run_id,
        "job": job_line(view),
        "revision": row.revision,
        "section": {
            "key": row.section,
            "title": checklist.title,
            "place": checklist.place,
            "front": checklist.front,
        },
        "garments": [asdict(garment) for garment in loaded],
        "attempt": row.attempt,
        "cause": row.cause,
        "opening": asdict(opening) | {"garments": list(opening.garments)},
        "refusal": row.refusal,
        "too_late": undos_set_aside(run_id),
        "checklist": checklist.as_json(),
        "events": [vars(event) for event in events],
        "catalogue": catalogue(),
        "pictures": [f"{address}/{index}.svg{query}" for index in range(len(checklist.phases))],
        "seams": _seams(plan, checklist, {one.size for one in loaded}),
        "next": next_load(_once_over(view, row, checklist), row.garments[0] if row.garments else None),
        "job_address": f"/T/{job_row.code}",
    }


def _seams(plan: Plan, checklist: Checklist, sizes: Collection[str]) -> Page:
    """By size, the seam that the tablet moves as a front lies; none where the run judges no place."""
    judges = any(phase.place is not None and phase.place.kind == "set" for phase in checklist.phases)
    return {size: seam_strip(plan.sums, size).as_json() for size in sizes} if judges else {}


def undos_set_aside(run_id: str) -> dict[str, str]:
    """Undos that did not count, with the reason: other runs may stand in their way, and no tablet can know that."""
    rows = db.session.execute(
        select(EventRow.id, VerdictRow.reason)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(EventRow.run == run_id, EventRow.kind == Kind.UNDO.value, VerdictRow.applied.is_(False))
    )
    return {row.id: row.reason for row in rows}


def _once_over(view: JobView, row: RunRow, checklist: Checklist) -> JobView:
    """The job as it will be once this run is finished, if it is not over yet: what the page offers next."""
    if row.status in OVER:
        return view
    rows = db.session.scalars(select(RunRow).where(RunRow.job_id == row.job_id, RunRow.refusal == ""))
    facts = [facts_of(one) for one in rows]
    asks = any(phase.approval for phase in checklist.phases)
    approvals = {row.id: ((row.last_at, None),)} if asks else {}
    finished = [
        replace(
            one,
            status=Status.FINISHED,
            ended_at=row.last_at,
            approvals=approvals.get(row.id, one.approvals),
        )
        if one.run == row.id
        else one
        for one in facts
    ]
    return replace(view, progress=progress_of(view.plan, finished))
