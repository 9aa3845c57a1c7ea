"""What a tablet keeps of the shop ahead of need: which jobs, and of each all that it takes to run it alone."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import func, select

from floor.domain.progress import RunFacts
from floor.domain.ticket import show_code
from floor.drawing.seam_strip import seam_strip
from floor.queries.held_layouts import layouts
from floor.queries.held_pictures import pictures_of
from floor.queries.tablet import GOING, OVER, run_line, shop
from floor.queries.tablet_run import catalogue
from floor.queries.views import Plan, facts_of, job_view, plan_of
from floor.store.models import EventRow, JobRow, RunRow, db

Page = dict[str, Any]

MOST_JOBS = 30
FORM = 1  # of the bundle: raised when what it holds changes, so that tablets fetch it again


def held() -> Page:
    """Which jobs a tablet should hold, the soonest due first, and what every page of it needs.

    Each has a `stamp` that changes when its bundle would, and one of its `pictures`. A job that was removed is held
    while a run of it is under way.
    """
    going = set(db.session.scalars(select(RunRow.job_id).where(RunRow.status.in_(GOING))))
    here = JobRow.removed_at.is_(None) | JobRow.id.in_(going)
    rows = db.session.scalars(select(JobRow).where(here).order_by(JobRow.due, JobRow.id))
    wanted = [row for row in rows if row.id in going or not _finished(row)]
    return {
        "shop": shop(),
        "catalogue": catalogue(),
        "jobs": [
            {"code": row.code, "stamp": stamp_of(row), "pictures": pictures_stamp(row)}
            for row in wanted[:MOST_JOBS]
        ],
    }


def bundle(row: JobRow) -> Page:
    """All of one job that a tablet needs to show it, start runs of it and finish them without a server."""
    return {
        **_changing(row),
        "stamp": stamp_of(row),
        "revisions": {
            str(number): {
                "terms": terms_json(plan),
                "piece": plan.route.piece,
                "seams": {size: seam_strip(plan.sums, size).as_json() for size in _judged_sizes(plan)},
                "layouts": layouts(plan),
            }
            if number in _laid_out(row)
            else {"terms": terms_json(plan)}
            for number, plan in _plans(row).items()
        },
    }


def pictures(row: JobRow) -> Page:
    """The pictures of the revisions that the bundle lays out: revision -> pictures."""
    plans = _plans(row)
    return {str(number): pictures_of(plans[number]) for number in _laid_out(row)}


def stamp_of(row: JobRow) -> str:
    """Changes when the job's bundle would: an event of one of its runs, a new revision."""
    return _digest([FORM, _digests(row, _plans(row)), _changing(row)])


def pictures_stamp(row: JobRow) -> str:
    return _digest([FORM, _digests(row, _laid_out(row))])


def terms_json(plan: Plan) -> Page:
    """What the revision lays down for its runs."""
    return {
        "sections": [vars(section) for section in plan.sections],
        "garments": [vars(garment) for garment in plan.job.garments],
        "load_size": plan.load_size,
        "approval_needed": plan.approval_needed,
        "opens": plan.job.opening is not None,
    }


def facts_json(facts: RunFacts, revision: int) -> Page:
    """The facts of a run, with the number of its revision in place of that revision's terms."""
    return {
        "run": facts.run,
        "section": facts.section,
        "garments": list(facts.garments),
        "first_piece": facts.first_piece,
        "cause": facts.cause,
        "opened_at": facts.opened_at,
        "status": facts.status.value,
        "scrapped": list(facts.scrapped),
        "scrapped_at": list(facts.scrapped_at),
        "sent_back": facts.sent_back,
        "ended_at": facts.ended_at,
        "approvals": [list(span) for span in facts.approvals],
        "revision": revision,
    }


def _changing(row: JobRow) -> Page:
    """What events change, and the job's head."""
    runs = _runs(row)
    counted = _events_of(row)
    under_way = sorted((run for run in runs if run.status not in OVER), key=lambda run: -run.last_at)
    return {
        "job": {
            "code": row.code,
            "code_shown": show_code(row.code),
            "title": row.title,
            "customer": row.customer,
            "due": row.due.isoformat(),
        },
        "revision": row.revisions[-1].number,
        "removed_by": row.removed_by if row.removed_at is not None else None,
        "facts": [facts_json(facts_of(run), run.revision) | {"events": counted[run.id]} for run in runs],
        "runs": [run_line(run, row) | {"last_at": run.last_at} for run in under_way],
    }


def _runs(row: JobRow) -> list[RunRow]:
    query = select(RunRow).where(RunRow.job_id == row.id, RunRow.refusal == "")
    return list(db.session.scalars(query.order_by(RunRow.opened_at, RunRow.id)))


def _events_of(row: JobRow) -> dict[str, int]:
    """How many events of each run there are: a tablet that has more of them knows better."""
    query = select(EventRow.run, func.count()).join(RunRow, RunRow.id == EventRow.run)
    rows = db.session.execute(query.where(RunRow.job_id == row.id).group_by(EventRow.run))
    return {row[0]: row[1] for row in rows}


def _plans(row: JobRow) -> dict[int, Plan]:
    """The newest revision's plan, and those of the revisions that runs have been opened on."""
    used = {run.revision for run in _runs(row)} | {row.revisions[-1].number}
    return {one.number: plan_of(one) for one in row.revisions if one.number in used}


def _laid_out(row: JobRow) -> list[int]:
    """The revisions whose checklists a run may be shown by: the newest, and those of runs under way."""
    under_way = {run.revision for run in _runs(row) if run.status not in OVER}
    return sorted(under_way | {row.revisions[-1].number})


def _judged_sizes(plan: Plan) -> Iterable[str]:
    """The sizes whose seam a tablet draws; none where no place is judged."""
    judges = any(part["place"] and part["place"]["kind"] == "set" for part in layouts(plan)["parts"])
    return plan.sums.sizes if judges else ()


def _finished(row: JobRow) -> bool:
    return all(garment.finished for garment in job_view(row).progress.garments.values())


def _digests(row: JobRow, numbers: Iterable[int]) -> list[Any]:
    return [[one.number, one.digest, one.house] for one in row.revisions if one.number in set(numbers)]


def _digest(value: object) -> str:
    return hashlib.sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:20]
