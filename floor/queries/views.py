"""A job as the pages and services see it: its file, route, outline and sections, and how far its garments are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from sqlalchemy import func, select

from floor.domain.checklist import Checklist
from floor.domain.hand import USUAL_HAND, Hand
from floor.domain.job import HouseRules, Job
from floor.domain.outline import Outline
from floor.domain.plan import JobPlan, plan_job
from floor.domain.progress import JobProgress, RunFacts, Terms, settle
from floor.domain.route import Route, Section, expand, load_size, read_route, sections_of
from floor.domain.run_state import Status
from floor.jobfile import RouteNeeds, outline_of, read_job
from floor.store.models import JobRevision, JobRow, Person, RunRow, db

REVISIONS_KEPT_IN_MEMORY = 64
CHECKLISTS_KEPT_IN_MEMORY = 512


@dataclass(frozen=True)
class Plan:
    """One revision of a job, read: everything about it that no event changes. `outline` is in mm; `sums`: what
    geometry says of it."""

    digest: str
    job: Job
    route: Route
    house: HouseRules
    sections: tuple[Section, ...]
    outline: Outline
    sums: JobPlan
    load_size: int
    approval_needed: bool

    def checklist(
        self, section: str, garments: tuple[int, ...], first_piece: bool, hand: Hand | None = None
    ) -> Checklist:
        """The checklist of a load. `hand`: how the shop lays and reads, None: as shops usually do. Raises
        UnknownSection or UnknownGarment."""
        return _checklist(self, section, garments, first_piece, hand or USUAL_HAND)

    @property
    def terms(self) -> Terms:
        return Terms(self.job, self.sections, self.load_size, self.approval_needed)

    def __hash__(self) -> int:
        return hash(self.digest)


@dataclass(frozen=True)
class JobView:
    """A job's newest plan and the progress of its garments."""

    row: JobRow
    revision: int
    plan: Plan
    progress: JobProgress

    @property
    def job(self) -> Job:
        return self.plan.job

    @property
    def route(self) -> Route:
        return self.plan.route

    @property
    def sections(self) -> tuple[Section, ...]:
        return self.plan.sections

    @property
    def outline(self) -> Outline:
        return self.plan.outline

    @property
    def sums(self) -> JobPlan:
        return self.plan.sums

    @property
    def load_size(self) -> int:
        return self.plan.load_size


def find_job(code: str) -> JobRow | None:
    """The job with this ticket code (as `read_code` gives it), removed or not."""
    return db.session.scalar(select(JobRow).where(JobRow.code == code))


def plan_of(revision: JobRevision) -> Plan:
    house = HouseRules(**revision.house)  # a rule that came later is as it was before there was a choice
    return _read_plan(revision.digest, revision.job_text, revision.outline_text, revision.route_text, house)


def revision_plan(row: JobRow, number: int) -> Plan | None:
    """The plan of a job's revision; None when it has no such revision."""
    found = next((r for r in row.revisions if r.number == number), None)
    return plan_of(found) if found else None


@lru_cache(maxsize=REVISIONS_KEPT_IN_MEMORY)
def _read_plan(digest: str, job_text: str, outline_text: str, route_text: str, house: HouseRules) -> Plan:
    route = read_route(route_text)
    job = read_job(job_text, outline_text, {route.id: RouteNeeds(route.opening, route.min_layers)})
    outline = outline_of(outline_text, job.design)
    sums = plan_job(job, outline, on_backing=route.on_backing)
    size = load_size(route, sums)
    sections = sections_of(route, job, house)
    first = (job.garments[0].number,)
    has_approval = any(
        phase.approval
        for section in sections
        if section.scope == "load"
        for phase in expand(route, sums, house, section.key, first, True).phases
    )
    needed = house.first_piece and has_approval and len(job.garments) > size
    return Plan(digest, job, route, house, sections, outline, sums, size, needed)


@lru_cache(maxsize=CHECKLISTS_KEPT_IN_MEMORY)
def _checklist(
    plan: Plan, section: str, garments: tuple[int, ...], first_piece: bool, hand: Hand
) -> Checklist:
    first = first_piece and plan.approval_needed
    return expand(plan.route, plan.sums, plan.house, section, garments, first, hand)


def facts_of(row: RunRow) -> RunFacts:
    """What a job's progress needs to know of a stored run."""
    plan = revision_plan(db.session.get_one(JobRow, row.job_id), row.revision)
    assert plan is not None  # the run was projected with it
    return RunFacts(
        run=row.id,
        section=row.section,
        garments=tuple(row.garments),
        first_piece=row.first_piece,
        cause=row.cause,
        opened_at=row.opened_at,
        status=Status(row.own_status),
        scrapped=tuple(row.scrapped),
        scrapped_at=tuple(row.scrapped_at),
        sent_back=row.sent_back,
        ended_at=row.own_ended_at,
        approvals=tuple((start, until) for start, until in row.approvals),
        terms=plan.terms,
    )


def progress_of(plan: Plan, runs: Iterable[RunFacts]) -> JobProgress:
    return settle(plan.job, plan.sections, plan.load_size, plan.approval_needed, runs)


def job_view(row: JobRow) -> JobView:
    """The job with its newest revision's plan and the progress that its stored runs make."""
    revision = row.revisions[-1]
    plan = plan_of(revision)
    rows = db.session.scalars(select(RunRow).where(RunRow.job_id == row.id, RunRow.refusal == ""))
    return JobView(row, revision.number, plan, progress_of(plan, [facts_of(r) for r in rows]))


def one_person_shop() -> bool:
    """Whether a single person works here: nothing then needs a second one."""
    return db.session.scalar(select(func.count()).select_from(Person).where(Person.active)) == 1
