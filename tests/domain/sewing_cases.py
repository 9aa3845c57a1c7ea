"""Plans of plain shapes, whose sums can be done by hand, and those of the demo's jobs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import cos, pi, sin

from route_cases import BACKGROUND, CLOSED_JOB

from floor.domain.job import Garment, Job, Layer
from floor.domain.outline import Figure, Outline
from floor.domain.plan import JobPlan, plan_job
from floor.jobfile import outline_of, read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs, shop_routes

Ring = tuple[tuple[float, float], ...]

FLAT = replace(BACKGROUND, name="Flat", offset=0.0, tack="run", placement_line=True)


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> Ring:
    """Centred on x, y."""
    w, h = width / 2, height / 2
    return ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))


def disc(radius: float, points: int = 720) -> Ring:
    turns = (2 * pi * i / points for i in range(points))
    return tuple((radius * cos(turn), radius * sin(turn)) for turn in turns)


def outline(*rings: Ring) -> Outline:
    return Outline((Figure(rings, even_odd=True),))


def closed_job(*layers: Layer, sizes: Iterable[str] = ("M",)) -> Job:
    """Work without an opening, one garment of each size named."""
    garments = tuple(Garment(number, size) for number, size in enumerate(sizes, start=1))
    return replace(CLOSED_JOB, layers=layers or (FLAT,), garments=garments)


def plan_of(job: Job, *rings: Ring, on_backing: bool = False) -> JobPlan:
    return plan_job(job, outline(*rings), on_backing)


def demo_plan(folder: str) -> JobPlan:
    source = read_job_folder(page_folder("demo_jobs") / folder, route_needs())
    route = shop_routes()[source.job.route].route
    return plan_job(source.job, outline_of(source.svg_text, source.job.design), route.load == "hooping")
