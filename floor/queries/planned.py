"""The plan of a job file that no shop has taken in."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from floor.domain.job import USUAL_HOUSE, HouseRules
from floor.domain.materials import Materials
from floor.domain.outline import OutlineError
from floor.domain.plan import JobPlan, nothing_to_sew, plan_job
from floor.domain.plan_json import plan_json
from floor.domain.pull_list import pull_list
from floor.domain.route import Route, load_size
from floor.jobfile import JobSource, outline_of, read_job_folder
from floor.queries.plan_text import plan_text
from floor.queries.pull import needs_of
from floor.queries.shop_routes import route_needs, shop_routes


class NothingToSew(ValueError):
    """The file reads well, and still nothing of its design can be sewn; the message says why."""


@dataclass(frozen=True)
class PlannedSource:
    """`left_out`: the outline's sentences on what of the drawing is no part of it."""

    plan: JobPlan
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class PlannedFile(PlannedSource):
    materials: Materials


def plan_of_source(source: JobSource, route: Route) -> PlannedSource:
    """The plan of a job that was read. Raises NothingToSew."""
    try:
        outline = outline_of(source.svg_text, source.job.design)
        plan = plan_job(source.job, outline, on_backing=route.on_backing)
    except OutlineError as wrong:
        raise NothingToSew(f'The outline "{source.svg_name}" cannot be sewn: {wrong}.') from wrong
    why = nothing_to_sew(plan)
    if why:
        raise NothingToSew(why)
    return PlannedSource(plan, outline.left_out)


def planned_file(path: Path) -> PlannedFile:
    """The plan of the job file at `path`, or in the folder `path`. Raises JobFileErrors and NothingToSew."""
    source = read_job_folder(path, route_needs())
    route = shop_routes()[source.job.route].route
    found = plan_of_source(source, route)
    materials = needs_of(found.plan, load_size(route, found.plan))
    return PlannedFile(found.plan, found.left_out, materials)


def planned_json(planned: PlannedFile) -> str:
    return json.dumps(plan_json(planned.plan, planned.materials.as_json(), planned.left_out), indent=2) + "\n"


def planned_text(planned: PlannedFile, house: HouseRules = USUAL_HOUSE) -> str:
    return plan_text(planned.plan, pull_list(planned.materials), planned.left_out, house)
