"""The plan of a job that is being set up: made once for the same numbers, and kept for its pictures."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from threading import Lock

from floor.domain.english import plural, unique
from floor.domain.job import Front, Garment, HouseRules, Job
from floor.domain.outline import Outline
from floor.domain.plan import JobPlan, nothing_to_sew, plan_job
from floor.domain.route import Route
from floor.drawing import apart_picture, closed_picture, front_picture
from floor.queries.office.words import span_words
from floor.queries.plan_page import PlanPage, plan_page
from floor.queries.plan_pictures import PlanPicture, plan_pictures
from floor.queries.plan_words import capital, looks_alike, size_words

PLANS_KEPT_IN_MEMORY = 48
PICTURES_KEPT_IN_MEMORY = 256


@dataclass(frozen=True)
class Drawn:
    """A plan with the `version` that its pictures are asked for by."""

    version: str
    plan: JobPlan


@dataclass(frozen=True)
class Group:
    """Sizes that look alike. `size`: the one that is drawn for them all."""

    title: str
    size: str
    pictures: tuple[PlanPicture, ...]
    facts: tuple[str, ...]


@dataclass(frozen=True)
class Preview:
    """`cannot`: why nothing can be sewn, None when it can; `stops`: the stop sheets in one line."""

    version: str
    cannot: str | None
    plan: PlanPage
    groups: tuple[Group, ...]
    stops: str


class _Kept:
    """The newest plans by version. Each can be made again, so a process may lose them."""

    def __init__(self) -> None:
        self._plans: OrderedDict[str, JobPlan] = OrderedDict()
        self._lock = Lock()

    def get(self, version: str) -> JobPlan | None:
        with self._lock:
            if version in self._plans:
                self._plans.move_to_end(version)
            return self._plans.get(version)

    def put(self, version: str, plan: JobPlan) -> JobPlan:
        with self._lock:
            plan = self._plans.setdefault(version, plan)
            while len(self._plans) > PLANS_KEPT_IN_MEMORY:
                self._plans.popitem(last=False)
            return plan


_kept = _Kept()


def drawn(job: Job, route: Route, outline: Outline, outline_digest: str) -> Drawn:
    """The plan of the job on its route with this outline, scaled to its design. OutlineError as `plan_job` has it."""
    bare = _bare(job)
    version = hashlib.sha256(f"{outline_digest} {bare!r}".encode()).hexdigest()[:20]
    found = _kept.get(version)
    if found is None:
        scaled = outline.scaled(job.design.height, job.design.centre)
        found = _kept.put(version, plan_job(bare, scaled, on_backing=route.on_backing))
    return Drawn(version, found)


def drawn_before(version: str) -> JobPlan | None:
    return _kept.get(version)


def _bare(job: Job) -> Job:
    """The job without what no line of its plan depends on: names and counts can change and draw nothing anew."""
    sizes = unique(garment.size for garment in job.garments)
    garments = tuple(Garment(number, size) for number, size in enumerate(sizes, 1))
    return replace(job, title="", customer="", due=date.min, garments=garments)


def preview_of(found: Drawn, left_out: tuple[str, ...], house: HouseRules) -> Preview:
    plan = found.plan
    groups = looks_alike(plan)
    return Preview(
        version=found.version,
        cannot=nothing_to_sew(plan),
        plan=plan_page(plan, left_out, house),
        groups=tuple(_group(plan, sizes, len(groups) > 1, house) for sizes in groups),
        stops=_stops_words(plan),
    )


def _group(plan: JobPlan, sizes: tuple[str, ...], several: bool, house: HouseRules) -> Group:
    opening = plan.sizes[sizes[0]].opening
    title = capital(size_words(sizes)) if several else "As it will look"
    if several and opening is not None:
        title += f": span {opening.span:g} mm, overlap {opening.overlap:g} mm"
    return Group(title, sizes[0], _pictures(plan.job, house), _facts(plan, sizes[0], house))


def _pictures(job: Job, house: HouseRules) -> tuple[PlanPicture, ...]:
    """As on the job's page, and where there are two fronts these beside each other."""
    apart = (PlanPicture("apart", "The fronts apart"),) if job.opening else ()
    return plan_pictures(job, house) + apart


def _facts(plan: JobPlan, size: str, house: HouseRules) -> tuple[str, ...]:
    """One line a front, as they are sewn: how large, whether it fits, how much to cut, how long the machine sews."""
    facts = []
    for front in plan.job.sewn_in_order(house):
        found = plan.sizes[size].fronts[front]
        if found.extent is None:
            continue
        x0, y0, x1, y1 = found.extent
        name = "The design" if front == "whole" else f"{front.capitalize()} front"
        hoop = "fits the hoop" if found.fits_hoop else "does not fit the hoop"
        cut = sum(piece.cut_length for piece in found.pieces) / 10
        facts.append(
            f"{name}: {x1 - x0:.0f} × {y1 - y0:.0f} mm sewn, {hoop}; {cut:.0f} cm of edge to cut;"
            f" the machine likely sews {span_words(sum(s.likely_s for s in plan.stops[size, front]))}."
        )
    return tuple(facts)


def _stops_words(plan: JobPlan) -> str:
    size = next(iter(plan.sizes))
    stops = [stop for front in plan.job.fronts for stop in plan.stops[size, front]]
    stitches = sum(stop.stitches for stop in stops)
    time = span_words(sum(stop.likely_s for stop in stops))
    return f"{plural(len(stops), 'stop')}, {stitches:,} stitches, likely {time} of machine a garment"


@lru_cache(maxsize=PICTURES_KEPT_IN_MEMORY)
def picture_of(plan: JobPlan, what: str, size: str) -> str | None:
    """The picture as SVG: "closed", "apart" or a front; None when the plan has no such one."""
    if size not in plan.sizes:
        return None
    if what == "closed":
        return closed_picture(plan, size, warnings=True)
    if what == "apart":
        return apart_picture(plan, size)
    fronts: dict[str, Front] = {front: front for front in plan.job.fronts}
    return front_picture(plan, size, fronts[what], warnings=True) if what in fronts else None
