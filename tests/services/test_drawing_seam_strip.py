"""The seam for the tablet: both halves around it, light enough to travel with the run's page."""

from __future__ import annotations

import json
import re
from zlib import compress

import pytest

from floor.drawing.seam_strip import BESIDE_MM, WIDER_MM, seam_strip
from tests.services.drawing_cases import job_on, outline, plan_of
from tests.services.test_drawing_detail import rim

MOST_BYTES = 3_000


def xs(path: str) -> list[float]:
    """Where the points of path data lie across: each line begins anew and goes on by steps."""
    found = []
    for line in path.split("M")[1:]:
        numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", line)]
        at = 0.0
        for step in numbers[::2]:
            at += step
            found.append(at)
    return found


def test_the_top_front_is_drawn_last_and_ends_at_the_seam() -> None:
    plan = plan_of(job_on("split-front"))
    strip = seam_strip(plan, next(iter(plan.sizes)))
    assert plan.job.opening is not None
    top = strip.halves[-1]
    assert top.front == plan.job.opening.top_front
    assert top.edge == strip.seam
    left, _, width, _ = top.ground
    assert strip.seam in (pytest.approx(left), pytest.approx(left + width))


def test_it_shows_both_lines_of_the_trace_and_as_much_to_either_side() -> None:
    plan = plan_of(job_on("split-front"))
    name, size = next(iter(plan.sizes.items()))
    strip = seam_strip(plan, name)
    x, top, width, height = strip.box
    assert strip.seam is not None
    assert x + width / 2 == pytest.approx(strip.seam)
    assert (top, top + height) == (pytest.approx(-size.window[1] - 8), pytest.approx(-size.window[0] + 8))


def test_nothing_far_from_the_seam_travels() -> None:
    plan = plan_of(job_on("split-front"))
    strip = seam_strip(plan, next(iter(plan.sizes)))
    assert strip.seam is not None
    points = [x for half in strip.halves for cloth in half.cloths for x in xs(cloth.path)]
    assert points
    assert max(abs(x - strip.seam) for x in points) <= BESIDE_MM + WIDER_MM + 0.1


def test_each_layer_of_each_front_is_there_with_its_border() -> None:
    plan = plan_of(job_on("split-front"))
    strip = seam_strip(plan, next(iter(plan.sizes)))
    for half in strip.halves:
        assert [cloth.width for cloth in half.cloths] == [layer.border.width for layer in plan.job.layers]


def test_without_an_opening_it_is_the_design_on_its_drawn_lines() -> None:
    plan = plan_of(job_on("closed"))
    strip = seam_strip(plan, next(iter(plan.sizes)))
    assert strip.seam is None
    assert [half.front for half in strip.halves] == ["whole"]
    assert strip.halves[0].edge == plan.job.design.centre[0]
    assert len(strip.lines) == 3


@pytest.mark.parametrize("route", ["split-front", "closed"])
def test_a_rugged_outline_is_thinned_until_it_is_light(route: str) -> None:
    job = job_on(route, layers=job_on(route).layers[1:])
    plan = plan_of(job, outline(rim(20_000, 2400, 2)))
    text = json.dumps(seam_strip(plan, next(iter(plan.sizes))).as_json())
    assert len(compress(text.encode())) <= MOST_BYTES
