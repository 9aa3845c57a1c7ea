"""Which pictures show a job's plan, on its page and on its ticket."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.job import HouseRules, Job
from floor.queries.pictures import closed_svg, front_svg
from floor.store.models import JobRow


@dataclass(frozen=True)
class PlanPicture:
    """`what`: what to ask `plan_svg` for; `words`: what it shows."""

    what: str
    words: str


def plan_pictures(job: Job, house: HouseRules) -> tuple[PlanPicture, ...]:
    """The job closed, then each front in its hoop in the order they are sewn."""
    if job.opening is None:
        return PlanPicture("closed", "As it will look"), PlanPicture("whole", "In its hoop")
    fronts = (PlanPicture(front, f"The {front} front in its hoop") for front in job.sewn_in_order(house))
    return PlanPicture("closed", "Closed, seen from the front"), *fronts


def plan_svg(job_row: JobRow, revision: int, what: str, size: str) -> str | None:
    """One picture of a plan, "closed" or a front, with what the plan warns of ringed; None when there is no such
    picture. A size that the job does not have gets its first one's."""
    if what == "closed":
        return closed_svg(job_row, revision, size, warnings=True)
    return front_svg(job_row, revision, size, what, warnings=True)
