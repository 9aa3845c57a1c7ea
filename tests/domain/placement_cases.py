"""Designs whose halves must meet, how a front truly lies, and what a tape would then read on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import radians, sin, sqrt, tan

import numpy as np
import shapely
from hypothesis import strategies as st
from numpy.typing import NDArray
from route_cases import drawn, plan_for
from shapely import MultiPolygon, Polygon, box
from split_cases import JOB, disc, layer, opened, planned

from floor.domain.fronts import Readings, SizePlan, cloths_of
from floor.domain.hand import Hand
from floor.domain.job import Design, Front, Garment, Job
from floor.domain.place_lie import Try
from floor.domain.place_sums import OtherSums, PlaceSums, StepSums, place_sums
from floor.domain.placement import Placement
from floor.domain.plan import JobPlan
from floor.domain.region import as_multi

SEAM_X = -10.0  # of split_cases' job: the left front lies on top
Points = NDArray[np.float64]


def stroke(y: float, thick: float, tilt_deg: float, half: float = 80.0) -> Polygon:
    """A stroke across the seam at height `y`, `thick` upright, that climbs to the right by `tilt_deg`."""
    climb = tan(radians(tilt_deg)) * half
    left, right = SEAM_X - half, SEAM_X + half
    return Polygon(
        [(left, y - climb), (right, y + climb), (right, y + climb + thick), (left, y - climb + thick)]
    )


BARS = shapely.union_all([box(-90, 20, 90, 45), box(-90, -45, 90, -25)])
FRAME = box(-90, -50, 90, 50).difference(box(-60, -28, 55, 31))
SLANTED = stroke(-20.0, 22.0, 45.0)
GABLE = shapely.union_all([stroke(18.0, 14.0, 30.0), stroke(-40.0, 16.0, -20.0)])
STRAIGHT = {"bars": BARS, "frame": FRAME, "a 45 degree stroke": SLANTED, "two slopes": GABLE}


def ring(radius: float, width: float) -> Polygon:
    """Centred on the seam, so that it crosses upright to its edge; see `leaning_ring` for the rest."""
    return disc(SEAM_X, 0, radius).difference(disc(SEAM_X, 0, radius - width))


def covered(top: str = "left") -> Job:
    """One layer, the under front sewn 8 mm beneath the top one."""
    return opened(JOB, under_cover=8.0, top_front=top)


def sums_for(
    shape: object, front: Front = "right", job: Job | None = None
) -> tuple[PlaceSums, SizePlan, MultiPolygon]:
    """Sums of one front, its size's plan and its whole cloth."""
    job = job or covered()
    plan = planned(job, shape)["M"]
    return place_sums(job, plan, front), plan, cloths_of(job, as_multi(shape))[0]


def moved(points: Points, plan: SizePlan, front: Front, lies: Placement) -> Points:
    """The design's points once it lies so: turned about the folded edge at the window's middle, then shifted."""
    edge = plan.fronts[front].edge_x or 0.0
    about = np.array([edge, sum(plan.window) / 2])
    turn, away = lies.skew, points - about
    x = np.cos(turn) * away[:, 0] - np.sin(turn) * away[:, 1]
    y = np.sin(turn) * away[:, 0] + np.cos(turn) * away[:, 1]
    shift = np.array([lies.across, lies.along])
    found: Points = np.column_stack([x, y]) + about + shift
    return found


def read_on(plan: SizePlan, front: Front, lies: Placement) -> Readings:
    """What a tape without error reads with the needle on the window's lines: u and l where they pass over the
    folded edge, a and b where the sewing ends; stretched cloth has its buttons closer together."""
    own = plan.fronts[front]
    assert own.edge_x is not None
    assert own.reach is not None
    assert plan.opening is not None
    (y0, y1), half = plan.window, plan.opening.span / 2
    end = own.edge_x + own.side * own.reach
    lines = np.array([(own.edge_x, y1), (own.edge_x, y0), (end, y1), (end, y0)])
    (_, upper), (_, lower), (above, _), (below, _) = moved(lines, plan, front, lies)
    return Readings(
        u=float(upper) - half + lies.stretch / 2,
        l=-half - float(lower) + lies.stretch / 2,
        a=own.side * (float(above) - own.edge_x),
        b=own.side * (float(below) - own.edge_x),
    )


def told(where: OtherSums, sign: int, lies: Placement) -> Readings:
    """What four places read, to first order: each where an edge of that slant is met at that height."""

    def edge(height: float, slant: float) -> float:
        return lies.along + lies.skew * where.lever + slant * (lies.across - lies.skew * height)

    return Readings(
        u=where.expected.u + edge(where.upper, where.slant_upper) + lies.stretch / 2,
        l=where.expected.l - edge(where.lower, where.slant_lower) + lies.stretch / 2,
        a=where.expected.a + sign * (lies.across - lies.skew * where.upper),
        b=where.expected.b + sign * (lies.across - lies.skew * where.lower),
    )


def told_own(sums: PlaceSums, lies: Placement) -> Readings:
    """The same of the front in the hoop, at the window's lines."""
    return told(OtherSums(sums.expected, sums.height / 2, -sums.height / 2), sums.across_sign, lies)


def told_other(sums: PlaceSums, lies: Placement) -> Readings:
    return told(sums.other, -sums.across_sign, lies)


def made_up(
    normals: Sequence[tuple[float, float, float]], tolerance: float = 1.0, keep_past: float | None = None
) -> PlaceSums:
    """Sums of a right front with its edge on x = 10, the seam at x = -10, the window 120 high about y = 0, from
    (y, across, along) of each crossing."""
    return PlaceSums(
        front="right",
        side=1,
        height=120.0,
        expected=Readings(-40.0, -40.0, 2.0, 2.0),
        other=OtherSums(Readings(-40.0, -40.0, 2.0, 2.0), 60.0, -60.0),
        steps=tuple(
            StepSums(0, y, ny, nx, skew=-20 * ny - y * nx, other_skew=0 * ny - y * nx)
            for y, nx, ny in normals
        ),
        mean_y=sum(y for y, _, _ in normals) / len(normals),
        lever=-20.0,
        other_lever=0.0,
        keep_past=keep_past,
        tolerance=tolerance,
    )


HALF = sqrt(0.5)
LEVEL = made_up([(30.0, 0.0, 1.0), (10.0, 0.0, -1.0), (-35.0, 0.0, -1.0)])
MIXED = made_up(
    [(45.0, 0.0, 1.0), (20.0, HALF, HALF), (-5.0, -HALF, HALF), (-40.0, sin(1.0), -sqrt(1 - sin(1.0) ** 2))]
)


def barred_plan() -> JobPlan:
    """Two level bars and two 45 degree strokes at four heights, in two layers, on a window about 150 mm high."""
    rings = [
        [(-150, 52), (150, 52), (150, 66), (-150, 66)],
        [(-150, -66), (150, -66), (150, -54), (-150, -54)],
        [(-30, 2), (10, 42), (24, 42), (-16, 2)],
        [(-30, -6), (-14, -6), (24, -44), (8, -44)],
    ]
    job = replace(
        covered(),
        design=Design("bars.svg", 132.0),
        layers=(layer(5.0), layer(0.0, 3.5)),
        garments=(Garment(1, "M"),),
    )
    return plan_for(job, drawn(*(tuple(ring) for ring in rings)))


HAND = Hand()
OPEN_MINDED = Hand(20.0, 20.0, 20.0, 20.0, 20.0, 20.0, 20.0)  # lays anyhow: only what is read counts
SHIFTS = st.floats(-2, 2)
NEAR = st.builds(
    Placement, along=SHIFTS, across=SHIFTS, skew=st.floats(-0.6, 0.6).map(radians), stretch=st.floats(-1, 1)
)


def one_try(sums: PlaceSums, lies: Placement, takes: float = 2.0) -> Try:
    return Try(told_own(sums, lies), takes)
