"""The place check's picture: what is read, near at hand, with every figure and pin where an eye finds it."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element

import pytest

from floor.domain.job import Front
from floor.domain.plan import JobPlan
from floor.drawing.colours import CHALK, PAPER, WHITE
from tests.services.drawing_cases import job_on, outline, picture_of, plan_of, tags

NARROW = (
    85.0,
    4.0,
)  # the design's centre, mm: the right front gets a sliver of it, the left one a wide stretch
Circle = tuple[float, float, float]


def circles(picture: Element, fill: str) -> list[Circle]:
    found = [circle for circle in tags(picture, "circle") if circle.get("fill") == fill]
    return [(float(c.get("cx", 0)), float(c.get("cy", 0)), float(c.get("r", 0))) for c in found]


def plan_with_centre(centre: tuple[float, float]) -> JobPlan:
    job = job_on("split-front")
    return plan_of(replace(job, design=replace(job.design, centre=centre)), outline(centre=centre))


@pytest.mark.parametrize("front", ["left", "right"])
@pytest.mark.parametrize("centre", [(10.0, 4.0), NARROW])
def test_every_figure_lies_whole_within_the_picture(front: Front, centre: tuple[float, float]) -> None:
    picture = picture_of(plan_with_centre(centre), f"front-{front}", "check-place")
    x0, y0, width, height = map(float, (picture.get("viewBox") or "").split())
    discs = circles(picture, CHALK)
    assert len(discs) == 4
    for x, y, r in discs:
        assert x0 + r <= x <= x0 + width - r
        assert y0 + r <= y <= y0 + height - r


def test_a_long_hoop_is_left_out_of_sight_where_nothing_is_read() -> None:
    job = job_on("split-front")
    plan = plan_of(replace(job, hoop=replace(job.hoop, field=(900.0, 240.0))))
    picture = picture_of(plan, "front-left", "check-place")
    assert float((picture.get("viewBox") or "").split()[2]) < 450


def test_no_pin_lies_over_a_button_of_a_front_that_gets_a_sliver_of_the_design() -> None:
    picture = picture_of(plan_with_centre(NARROW), "front-right", "pin")
    pins, buttons = circles(picture, PAPER), circles(picture, WHITE)
    assert len(pins) == 4
    assert buttons
    for x, _, r in pins:
        assert all(x + r < cx - size for cx, _, size in buttons)
