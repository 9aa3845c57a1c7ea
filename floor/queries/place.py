"""How a front of a job file lies by its readings: `floor place`; no shop is needed."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from floor.domain.english import listed
from floor.domain.fronts import Readings
from floor.domain.hand import USUAL_HAND
from floor.domain.job import Front, HouseRules, Job
from floor.domain.place_json import place_json
from floor.domain.place_lie import Try
from floor.domain.place_sums import CLOSED_TOLERANCE_MM, PlaceSums, place_sums
from floor.domain.placement import Judgement, judge
from floor.domain.plan import JobPlan
from floor.domain.quoting import quoted
from floor.domain.weighing import Weighed, weigh
from floor.jobfile import read_job_folder
from floor.queries.place_given import given
from floor.queries.planned import plan_of_source
from floor.queries.shop_routes import route_needs, shop_routes

Takes = Sequence[Sequence[str]]


class PlaceRefused(ValueError):
    """What is asked about the job is not in it; the message says what is."""


@dataclass(frozen=True)
class JudgedPlace:
    """`against`: whether the other front's readings were given; `questions`: what looks odd about readings."""

    job: Job
    size: str
    sums: PlaceSums
    readings: Readings
    against: bool
    judgement: Judgement
    weighed: Weighed
    questions: tuple[str, ...]

    @property
    def as_json(self) -> str:
        found = place_json(self.job, self.sums, self.readings, self.judgement, self.weighed, self.questions)
        return json.dumps(found, indent=2, ensure_ascii=False) + "\n"


def judged_place(
    path: Path, size: str | None, front: str | None, read: Takes, against: Takes, house: HouseRules
) -> JudgedPlace:
    """The place of `front` on a garment of `size`, each None where the job leaves no choice. `read`: takes of the
    readings u, l, a, b as they were typed, one at least; `against`: those of the other front as it was sewn.

    Raises JobFileErrors, NothingToSew, PlaceRefused and ReadingRefused.
    """
    source = read_job_folder(path, route_needs())
    plan = plan_of_source(source, shop_routes()[source.job.route].route).plan
    job, opens = plan.job, plan.job.opening is not None
    size, front_read = _size(plan, size), _front(job, front)
    if against and not opens:
        raise PlaceRefused("The garment does not open, so there is no other front: leave --against out.")
    sums = place_sums(job, plan.sizes[size], front_read, house.step_pass if opens else CLOSED_TOLERANCE_MM)
    own = given("--read", read, sums.expected, opens=opens)
    other = given("--against", against, sums.other.expected, opens=opens) if against else None
    return JudgedPlace(
        job=job,
        size=size,
        sums=sums,
        readings=own.readings,
        against=other is not None,
        judgement=judge(sums, own.readings, other.readings if other else None),
        weighed=weigh(
            sums,
            USUAL_HAND,
            (Try(own.readings, own.takes),),
            (other.readings, other.takes) if other else None,
        ),
        questions=own.questions + (other.questions if other else ()),
    )


def _size(plan: JobPlan, wanted: str | None) -> str:
    sizes = tuple(plan.sizes)
    if wanted is None and len(sizes) == 1:
        return sizes[0]
    if wanted is None:
        raise PlaceRefused(f"The job has the sizes {listed(sizes)}; say which with --size.")
    if wanted not in sizes:
        has = f"the sizes {listed(sizes)}" if len(sizes) > 1 else f"size {sizes[0]} alone"
        raise PlaceRefused(f"The job has no size {quoted(wanted)}; it has {has}.")
    return wanted


def _front(job: Job, wanted: str | None) -> Front:
    if wanted is None and len(job.fronts) == 1:
        return job.fronts[0]
    if wanted is None:
        raise PlaceRefused("The garment opens; say which front is placed, --front left or --front right.")
    for front in job.fronts:
        if front == wanted:
            return front
    if len(job.fronts) == 1:
        raise PlaceRefused(
            f"The garment does not open, so it has no front {quoted(wanted)}: leave --front out."
        )
    raise PlaceRefused(f'The job has no front {quoted(wanted)}; it has "left" and "right".')
