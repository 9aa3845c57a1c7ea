"""What to fetch for a job, from its plan."""

from __future__ import annotations

from floor.domain.materials import Materials, materials_of
from floor.domain.plan import JobPlan
from floor.domain.pull_list import PullLine, pull_list
from floor.queries.views import JobView


def pull_of(view: JobView) -> tuple[PullLine, ...]:
    """For all of the job's garments, spares counted."""
    return pull_list(needs_of(view.sums, view.load_size))


def needs_of(plan: JobPlan, load_size: int) -> Materials:
    """`load_size`: what all heads take at once; each hoops its own share."""
    return materials_of(plan, load_size // plan.job.machine.heads)
