"""Where a sewn front is measured, and that its readings there tell how it really lies."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

import numpy as np
import pytest
import shapely
from placement_cases import barred_plan, covered, moved, read_on
from route_cases import CLOSED_JOB, drawn, plan_for
from split_cases import layer

from floor.domain.as_sewn import measured_at, sewn_sums
from floor.domain.fronts import Readings
from floor.domain.growing import grown
from floor.domain.job import Design, Front, Garment
from floor.domain.place_sums import OtherSums, place_sums
from floor.domain.placement import Placement, other_placement
from floor.domain.plan import JobPlan

FRONTS: tuple[Front, ...] = ("left", "right")


def leaning_plan() -> JobPlan:
    """A parallelogram whose upper edge climbs by 20 degrees and whose lower one falls by 30."""
    ring = ((-120.0, -9.0), (120.0, -147.6), (120.0, 93.7), (-120.0, 6.3))
    job = replace(
        covered(), design=Design("any.svg", 241.3), layers=(layer(0.0),), garments=(Garment(1, "M"),)
    )
    return plan_for(job, drawn(ring))


def sewn_at(plan: JobPlan, front: Front, lies: Placement) -> Readings:
    """What is read on the moved sewing: its outermost border's edges at the line where it is measured, and how far
    its end passes the folded edge there."""
    own, opening = plan.sizes["M"].fronts[front], plan.sizes["M"].opening
    where = sewn_sums(plan, "M", front)
    assert opening is not None
    assert where is not None
    assert own.edge_x is not None
    assert own.reach is not None
    sewing = shapely.union_all(
        [
            grown(cloth, one.border.width / 2, 16)
            for cloth, one in zip(plan.cloths, plan.job.layers, strict=True)
        ]
    )
    there = shapely.transform(sewing, lambda points: moved(points, plan.sizes["M"], front, lies))
    x = measured_at(plan, own)
    on_line = shapely.get_coordinates(there.intersection(shapely.LineString([(x, -500), (x, 500)])))[:, 1]
    middle = sum(own.window) / 2
    ends = np.array([(own.edge_x + own.side * own.reach, middle + y) for y in (where.upper, where.lower)])
    a, b = own.side * (moved(ends, plan.sizes["M"], front, lies)[:, 0] - own.edge_x)
    half = opening.span / 2
    return Readings(float(on_line.max()) - half, -half - float(on_line.min()), float(a), float(b))


def told(plan: JobPlan, front: Front, lies: Placement) -> Placement:
    """How the front lies by what is read on it, judged from the other front."""
    other: Front = "right" if front == "left" else "left"
    sums = place_sums(plan.job, plan.sizes["M"], other, other_sums=sewn_sums(plan, "M", front))
    return other_placement(sums, sewn_at(plan, front, lies))


PLANS = {"bars and strokes": barred_plan(), "leaning edges": leaning_plan()}


@pytest.mark.parametrize("front", FRONTS)
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_a_front_sewn_on_its_place_reads_what_is_expected(plan: JobPlan, front: Front) -> None:
    where = sewn_sums(plan, "M", front)
    assert where is not None
    on_place = Placement(0.0, 0.0, 0.0, 0.0)
    assert tuple(where.expected) == pytest.approx(sewn_at(plan, front, on_place), abs=1e-6)


@pytest.mark.parametrize("front", FRONTS)
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_its_readings_tell_how_it_really_lies(plan: JobPlan, front: Front) -> None:
    """Sewn SD 0.5 mm and 0.3 degrees: to first order, so to within skew x shift where edges lean."""
    random = np.random.default_rng(2)
    for along, across, turn in random.normal(0, 1, (60, 3)) * (0.5, 0.5, radians(0.3)):
        true = Placement(float(along), float(across), float(turn), 0.0)
        found = told(plan, front, true)
        assert (found.along, found.across) == pytest.approx((true.along, true.across), abs=0.04)
        assert degrees(found.skew) == pytest.approx(degrees(true.skew), abs=0.01)
        assert abs(found.stretch) <= 0.1


def test_level_sewing_is_read_as_the_windows_lines_are() -> None:
    """The outermost border is what the needle traces: the readings are those at the needle."""
    plan = PLANS["bars and strokes"]
    where = sewn_sums(plan, "M", "left")
    on_place = read_on(plan.sizes["M"], "left", Placement(0.0, 0.0, 0.0, 0.0))
    assert where == OtherSums(on_place, 73.0, -73.0, 0.0, 0.0, 0.0)


def test_an_under_front_is_measured_a_border_within_its_end() -> None:
    """Its sewing ends 12 mm short of its folded edge at x = 10."""
    plan = PLANS["bars and strokes"]
    assert measured_at(plan, plan.sizes["M"].fronts["right"]) == pytest.approx(10 - 12 - 4)
    where = sewn_sums(plan, "M", "right")
    assert where is not None
    assert where.lever == pytest.approx(-16.0)
    assert measured_at(plan, plan.sizes["M"].fronts["left"]) == pytest.approx(-10.0)


def test_slants_are_those_of_the_edges() -> None:
    where = sewn_sums(PLANS["leaning edges"], "M", "left")
    assert where is not None
    tangents = (-(93.7 - 6.3) / 240, -(-147.6 + 9.0) / 240)
    assert (where.slant_upper, where.slant_lower) == pytest.approx(tangents, abs=1e-3)


def test_where_nothing_level_enough_crosses_the_opening_there_is_nothing_to_measure() -> None:
    assert sewn_sums(plan_for(CLOSED_JOB), "M", "whole") is None
    steep = drawn(((-22.0, -50.0), (-12.0, -50.0), (2.0, 50.0), (-8.0, 50.0)))
    apart = drawn(
        ((-90.0, -50.0), (-60.0, -50.0), (-60.0, 50.0), (-90.0, 50.0)),
        ((60.0, -50.0), (90.0, -50.0), (90.0, 50.0), (60.0, 50.0)),
    )
    job = replace(covered(), layers=(layer(0.0),), garments=(Garment(1, "M"),))
    for outline in (steep, apart):
        assert sewn_sums(plan_for(job, outline), "M", "left") is None
