"""Pictures of rich outlines: lines grow plainer by steps until a picture is small, and no part is left out."""

from __future__ import annotations

import gzip
import math
import random

import pytest
from shapely import MultiPolygon, box, get_num_coordinates

from floor.domain.pieces import Piece
from floor.drawing import closed_picture, front_picture
from floor.drawing.detail import MOST_POINTS, TOLERANCES_MM, beyond, drawn, finest_level, shape_data
from tests.services.drawing_cases import job_on, lines, outline, pictures, plan_of, shape

MOST_BYTES = 15_000


def rim(points: int, teeth: float, amplitude: float = 9) -> str:
    """A round outline with so many teeth."""
    found = []
    for n in range(points):
        turn = n / points * math.tau
        radius = 100 + amplitude * math.sin(teeth * turn)
        found.append(f"{radius * math.cos(turn):.3f} {radius * math.sin(turn):.3f}")
    return shape("M" + "L".join(found) + "Z")


def specks(across: int, down: int, size: float, apart: float) -> MultiPolygon:
    places = ((apart * i, apart * j) for i in range(across) for j in range(down))
    return MultiPolygon([box(x, y, x + size, y + size) for x, y in places])


def test_20_000_points_on_smooth_curves_are_drawn_as_finely_as_few() -> None:
    plan = plan_of(job_on("split-front"), outline(rim(20_000, 12)))
    assert finest_level(plan) == 0
    for _, phase, svg in pictures(plan):
        assert len(gzip.compress(svg.encode())) < MOST_BYTES, phase.key


@pytest.mark.parametrize("route", ["split-front", "closed"])
def test_a_jagged_outline_is_thinned_until_its_pictures_are_small(route: str) -> None:
    job = job_on(route, layers=job_on(route).layers[1:])
    plan = plan_of(job, outline(rim(20_000, 2400, 2)))
    assert finest_level(plan) > 0
    for _, phase, svg in pictures(plan):
        assert len(gzip.compress(svg.encode())) < MOST_BYTES, phase.key


def test_a_scribble_that_crosses_itself_is_drawn_small() -> None:
    draw = random.Random(5)
    points = (f"{draw.uniform(0, 200):.2f} {draw.uniform(0, 100):.2f}" for _ in range(300))
    plan = plan_of(
        job_on("closed", layers=job_on("closed").layers[1:]), outline(shape("M" + "L".join(points) + "Z"))
    )
    for svg in (closed_picture(plan, "M"), front_picture(plan, "M", "whole")):
        assert len(gzip.compress(svg.encode())) < MOST_BYTES


def test_hundreds_of_small_parts_are_all_drawn() -> None:
    piece = Piece(0, specks(20, 20, size=1.5, apart=6), 3)
    assert len(drawn(piece, 0).geoms) == 400
    assert len(lines(shape_data(drawn(piece, 0)))) == 400


def test_too_many_parts_are_run_together_and_none_is_left_out() -> None:
    cloth = specks(60, 60, size=3, apart=5)
    piece = Piece(0, cloth, 3)
    levels = [int(get_num_coordinates(drawn(piece, level))) for level in range(len(TOLERANCES_MM))]
    assert levels[0] > MOST_POINTS > levels[-1]
    for level, tolerance in enumerate(TOLERANCES_MM):
        assert cloth.difference(drawn(piece, level).buffer(2 * tolerance)).area < 1


@pytest.mark.parametrize(("by", "size"), [(1.0, 12.0), (-1.0, 8.0)])
def test_a_line_beside_the_edge_keeps_its_distance(by: float, size: float) -> None:
    x0, y0, x1, y1 = beyond(MultiPolygon([box(0, 0, 10, 10)]), by, 0).bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((size, size), abs=0.05)


def test_path_data_comes_back_within_a_tenth_of_a_mm() -> None:
    ring = [(0.0, 0.0), (12.34, -0.26), (-5.0, 7.77)]
    (found,) = lines(shape_data(MultiPolygon([(ring, [])])))
    for point, there in zip(sorted(found), sorted(ring), strict=True):
        assert point == pytest.approx(there, abs=0.051)
