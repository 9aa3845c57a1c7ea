"""Jobs to be drawn, their checklists and pictures, and what can be read back from a picture."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import combinations
from math import dist
from pathlib import Path
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring

import floor
from floor.domain.checklist import Checklist, Phase
from floor.domain.job import (
    Backing,
    Border,
    Design,
    Garment,
    Hoop,
    HouseRules,
    Job,
    Layer,
    Machine,
    Opening,
    OpeningSize,
)
from floor.domain.outline import Outline, read_outline
from floor.domain.plan import JobPlan, plan_job
from floor.domain.route import Route, expand, read_route, sections_of
from floor.drawing import phase_picture
from floor.drawing.colours import CHALK

Box = tuple[float, float, float, float]

SECRET = "Zanzabelle"  # a name in the job and in the file, which no picture may repeat
BANNER = (
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><title>{SECRET}</title>'
    f'<path id="{SECRET}" fill-rule="evenodd" d="M0 0H60V70H0Z M20 20H40V50H20Z M70 0C120 -10 150 80 200 0V70H70Z"/>'
    '<path d="M0 84H200L190 100H0Z"/></svg>'
)
ROUTES = ("split-front", "closed", "crest")


def route_of(name: str) -> Route:
    return read_route((Path(floor.__file__).parent / "routes" / f"{name}.toml").read_text())


def job_on(route: str, **changes: object) -> Job:
    opening = Opening(170, 24, 2, 15, 8, 3, "left", {"XL": OpeningSize(190, 30)})
    job = Job(
        title=SECRET,
        customer=SECRET,
        due=date(2030, 1, 2),
        route=route,
        opening=opening if route == "split-front" else None,
        design=Design("banner.svg", 100, (10, 4)),
        layers=(
            Layer(SECRET, "felt", "navy blue", 5, True, "zigzag", Border(4, 0.4, "gold 40")),
            Layer("Letters", "twill", SECRET, 0, True, "double run", Border(3, 0.4, SECRET)),
        ),
        hoop=Hoop((340, 220), 5),
        backing=Backing("tearaway", 2),
        machine=Machine(650, 1),
        garments=(Garment(1, "M", SECRET), Garment(2, "XL")),
    )
    return replace(job, **changes)  # type: ignore[arg-type]


def outline(svg: str = BANNER, centre: tuple[float, float] = (10, 4)) -> Outline:
    return read_outline(svg).scaled(100, centre)


def shape(data: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{data}"/></svg>'


def plan_of(job: Job, drawing: Outline | None = None) -> JobPlan:
    return plan_job(job, drawing or outline(), on_backing=job.route == "crest")


def checklists(plan: JobPlan) -> Iterator[Checklist]:
    route, job = route_of(plan.job.route), plan.job
    for section in sections_of(route, job):
        garments = tuple(garment.number for garment in job.garments)
        yield expand(route, plan, HouseRules(edge_sealing=True), section.key, garments, first_piece=True)


def pictures(plan: JobPlan, size: str = "M") -> Iterator[tuple[Checklist, Phase, str]]:
    for checklist in checklists(plan):
        for index, phase in enumerate(checklist.phases):
            yield checklist, phase, phase_picture(plan, checklist, index, size)


def picture_of(plan: JobPlan, section: str, key: str, size: str = "M") -> Element:
    for checklist, phase, svg in pictures(plan, size):
        if checklist.section == section and phase.key == key:
            return read(svg)
    raise LookupError(key)


def read(svg: str) -> Element:
    return fromstring(svg)


def tags(picture: Element, name: str) -> list[Element]:
    return [element for element in picture.iter() if element.tag.rpartition("}")[2] == name]


Disc = tuple[str, float, float, float]


def discs(picture: Element) -> list[Disc]:
    """Each figure with its disc's centre, y up, and radius."""
    chalk = [circle for circle in tags(picture, "circle") if circle.get("fill") == CHALK]
    return [
        (text.text or "", float(c.get("cx", 0)), -float(c.get("cy", 0)), float(c.get("r", 0)))
        for c, text in zip(chalk, tags(picture, "text"), strict=True)
    ]


def assert_apart_and_whole(picture: Element) -> None:
    """No disc lies on another, and each lies whole within what the picture shows."""
    found = discs(picture)
    for one, other in combinations(found, 2):
        assert dist(one[1:3], other[1:3]) >= one[3] + other[3], (one, other)
    x0, top, width, height = map(float, (picture.get("viewBox") or "").split())
    for _, x, y, r in found:
        assert x0 + r <= x <= x0 + width - r
        assert -top - height + r <= y <= -top - r


def figures(picture: Element) -> list[str]:
    return sorted(text.text or "" for text in tags(picture, "text"))


def lines(data: str) -> list[list[tuple[float, float]]]:
    """The points of each line of path data with relative steps, y up."""
    found = []
    for subpath in data.split("M")[1:]:
        x = y = 0.0
        points = []
        numbers = [float(one) for one in re.findall(r"-?[\d.]+", subpath)]
        for dx, dy in zip(numbers[::2], numbers[1::2], strict=True):
            x, y = x + dx, y - dy
            points.append((x, y))
        found.append(points)
    return found


def drawn(picture: Element, **attributes: str) -> Iterator[list[tuple[float, float]]]:
    """The lines of every shape that is drawn with these attributes, _ for -."""
    named = {path.get("id"): path.get("d", "") for path in tags(picture, "path")}
    wanted = {key.replace("_", "-"): value for key, value in attributes.items()}
    for element in (*tags(picture, "use"), *tags(picture, "path")):
        if all(element.get(key) == value for key, value in wanted.items()):
            yield from lines(named.get(element.get("href", "#")[1:]) or element.get("d", ""))


def box_of(found: Iterator[list[tuple[float, float]]]) -> Box:
    xs, ys = zip(*(point for points in found for point in points), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def sewn_box(picture: Element, width: float) -> Box:
    """The box of the borders of this width in the picture, half of it beyond the cloth's edge."""
    x0, y0, x1, y1 = box_of(drawn(picture, stroke_width=f"{width:g}"))
    return x0 - width / 2, y0 - width / 2, x1 + width / 2, y1 + width / 2
