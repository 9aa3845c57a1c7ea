"""The region that an outline encloses, against closed forms, scanlines, and points taken one by one."""

from __future__ import annotations

import math
import random
import time
from contextlib import suppress
from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import GeometryCollection, LineString, MultiLineString, MultiPolygon, Point, Polygon, unary_union

from floor.domain.outline import MAX_CHORD_ERROR_MM, TALLEST_MM, Figure, Outline, OutlineError, read_outline
from floor.domain.region import as_multi, region_of
from tests.domain.outlines import OUTLINES, Drawing, svg

Ring = tuple[tuple[float, float], ...]

SCANLINES = 1500
NEAR_AN_EDGE = 1e-3


def edges(figure: Figure) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return [edge for ring in figure.rings for edge in pairwise((*ring, ring[0]))]


def winding(figure: Figure, x: float, y: float) -> int:
    """How often the figure's rings wind round a point: edges that pass its right upward, less those down."""
    turns = 0
    for (ax, ay), (bx, by) in edges(figure):
        if (ay <= y) != (by <= y) and ax + (y - ay) / (by - ay) * (bx - ax) > x:
            turns += 1 if ay <= y else -1
    return turns


def is_inside(figure: Figure, x: float, y: float) -> bool:
    turns = winding(figure, x, y)
    return turns % 2 == 1 if figure.even_odd else turns != 0


def scanned_area(outline: Outline) -> float:
    """The area by lines across: where each figure is inside under its rule, and what they cover together."""
    _, y0, _, y1 = outline.bounds
    step = (y1 - y0) / SCANLINES
    covered: list[list[tuple[float, int]]] = [[] for _ in range(SCANLINES)]
    for figure in outline.figures:
        crossings: dict[int, list[tuple[float, int]]] = {}
        for (ax, ay), (bx, by) in edges(figure):
            low, high = sorted((ay, by))
            first, last = math.ceil((low - y0) / step - 0.5), math.ceil((high - y0) / step - 0.5)
            for row in range(first, last):
                y = y0 + (row + 0.5) * step
                x = ax + (y - ay) / (by - ay) * (bx - ax)
                crossings.setdefault(row, []).append((x, 1 if by > ay else -1))
        for row, found in crossings.items():
            turns = 0
            for x, way in sorted(found):
                before = turns % 2 if figure.even_odd else turns != 0
                turns += way
                after = turns % 2 if figure.even_odd else turns != 0
                if before != after:
                    covered[row].append((x, 1 if after else -1))
    area = 0.0
    for found in covered:
        depth, since = 0, 0.0
        for x, way in sorted(found):
            if depth == 0:
                since = x
            depth += way
            if depth == 0:
                area += (x - since) * step
    return area


@pytest.mark.parametrize("drawing", OUTLINES, ids=lambda drawing: drawing.name)
class TestDrawings:
    def test_its_area_is_that_of_its_closed_form(self, drawing: Drawing) -> None:
        outline = read_outline(drawing.svg)
        found = region_of(outline)
        strays = (outline.bounds[3] - outline.bounds[1]) * MAX_CHORD_ERROR_MM / TALLEST_MM
        assert found.is_valid
        assert found.area == pytest.approx(drawing.area, rel=1e-9, abs=strays * found.length)

    def test_its_area_is_what_lines_across_it_find(self, drawing: Drawing) -> None:
        outline = read_outline(drawing.svg)
        assert region_of(outline).area == pytest.approx(scanned_area(outline), rel=2e-3)

    def test_its_box_is_that_of_its_outline(self, drawing: Drawing) -> None:
        outline = read_outline(drawing.svg).scaled(300, (10, 20))
        assert region_of(outline).bounds == pytest.approx(outline.bounds)

    def test_mirrored_it_is_its_mirror_image(self, drawing: Drawing) -> None:
        outline = read_outline(drawing.svg).scaled(100, (0, 0))
        mirrored = Outline(
            tuple(
                Figure(tuple(tuple((-x, y) for x, y in ring) for ring in figure.rings), figure.even_odd)
                for figure in outline.figures
            )
        )
        there, back = region_of(outline), region_of(mirrored)
        turned = shapely.transform(back, lambda points: points * (-1, 1))
        assert there.symmetric_difference(turned).area <= 1e-6 * there.area


def square(half: float, backwards: bool = False, at: float = 0.0) -> Ring:
    ring = ((at - half, -half), (at + half, -half), (at + half, half), (at - half, half))
    return ring[::-1] if backwards else ring


def region(*rings: Ring, even_odd: bool = False) -> MultiPolygon:
    return region_of(Outline((Figure(rings, even_odd),)))


def holes(shape: MultiPolygon) -> int:
    return sum(len(part.interiors) for part in shape.geoms)


class TestRules:
    def test_a_ring_within_another_is_a_hole_where_it_runs_the_other_way(self) -> None:
        assert region(square(5), square(2)).area == 100
        assert region(square(5), square(2, backwards=True)).area == 84
        assert region(square(5), square(2), even_odd=True).area == 84

    def test_an_island_in_a_hole_is_cloth_again(self) -> None:
        found = region(square(9), square(6), square(3), even_odd=True)
        assert (len(found.geoms), holes(found), found.area) == (2, 1, 324 - 144 + 36)
        found = region(square(9), square(6, backwards=True), square(3))
        assert (len(found.geoms), holes(found), found.area) == (2, 1, 324 - 144 + 36)

    def test_a_hole_is_shut_by_as_many_rings_as_wind_the_other_way(self) -> None:
        assert region(square(9), square(8), square(3, backwards=True)).area == 324
        assert holes(region(square(9), square(8), square(3, backwards=True), square(2, backwards=True))) == 1

    def test_a_ring_that_crosses_itself_keeps_both_its_lobes(self) -> None:
        bow = ((0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0))
        for even_odd in (False, True):
            assert region(bow, even_odd=even_odd).area == pytest.approx(2)

    def test_what_two_figures_share_is_cloth_though_each_is_even_odd(self) -> None:
        figures = tuple(Figure((square(2, at=at),), True) for at in (0.0, 2.0))
        assert region_of(Outline(figures)).area == 24

    def test_shapes_that_touch_are_one_region_that_is_valid(self) -> None:
        for even_odd in (False, True):
            edge = region(square(1), square(1, at=2), even_odd=even_odd)
            assert (len(edge.geoms), edge.area) == (1, 8)
            corner = region(square(1), ((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)), even_odd=even_odd)
            assert corner.is_valid
            assert corner.area == 4.5
            hole = region(square(3), ((3.0, 0.0), (1.0, 1.0), (1.0, -1.0)), even_odd=True)
            assert hole.is_valid
            assert hole.area == 34

    def test_the_same_ring_twice_is_nothing_under_even_odd(self) -> None:
        assert region(square(1), square(1)).area == 4
        with pytest.raises(OutlineError, match="encloses no area"):
            region(square(1), square(1), even_odd=True)

    @pytest.mark.parametrize("ring", [((0.0, 0.0), (1.0, 1.0)), ((0.0, 0.0), (2.0, 2.0), (1.0, 1.0))])
    def test_what_encloses_nothing_is_refused(self, ring: Ring) -> None:
        with pytest.raises(OutlineError, match="encloses no area"):
            region(ring)

    def test_no_crack_is_left_where_rings_meet_but_for_rounding(self) -> None:
        first = tuple((i * 0.1, math.sin(i * 0.1)) for i in range(64))
        beside = tuple((x + 1e-13, y - 1e-13) for x, y in reversed(first))
        found = region((*first, (6.3, 9.0), (0.0, 9.0)), (*beside, (0.0, -9.0), (6.3, -9.0)))
        assert (len(found.geoms), holes(found)) == (1, 0)

    @pytest.mark.parametrize("moves", ["rotate(33) scale(.3)", "skewX(11) translate(7.7 1.3)"])
    def test_two_halves_of_which_one_is_the_other_mirrored_are_one_piece(self, moves: str) -> None:
        body = (
            f'<g transform="{moves}"><path id="h" d="M33.3 10C70 10 90 40 33.3 70Z"/>'
            '<g transform="translate(66.6 0)"><use href="#h" transform="scale(-1 1)"/></g></g>'
        )
        found = region_of(read_outline(svg(body)))
        assert (len(found.geoms), holes(found)) == (1, 0)

    def test_a_shape_that_a_nested_drawing_cuts_off_ends_at_its_edge(self) -> None:
        body = '<svg x="10" y="20" width="30" height="40"><circle cx="0" cy="20" r="15"/></svg>'
        outline = read_outline(svg(body))
        assert outline.bounds == pytest.approx((10, -55, 25, -25))
        assert region_of(outline).area == pytest.approx(math.pi * 225 / 2, rel=1e-4)
        shown = read_outline(svg(body.replace("<svg x", '<svg overflow="visible" x')))
        assert region_of(shown).area == pytest.approx(math.pi * 225, rel=1e-4)


class TestAsMulti:
    def test_only_polygons_are_kept(self) -> None:
        one, two = Polygon(square(1)), Polygon(square(1, at=9))
        mixed = GeometryCollection([one, LineString([(0, 0), (1, 1)]), MultiPolygon([two]), Point(3, 3)])
        assert as_multi(mixed).equals(MultiPolygon([one, two]))
        assert as_multi(one).equals(MultiPolygon([one]))
        assert as_multi(Polygon()).is_empty
        assert as_multi(LineString([(0, 0), (1, 1)])).is_empty


grid = st.integers(0, 8).map(float)
rings = st.lists(st.tuples(grid, grid), min_size=3, max_size=10).map(tuple)
figures = st.builds(Figure, st.lists(rings, min_size=1, max_size=3).map(tuple), st.booleans())


def turned(figure: Figure, angle: float) -> Figure:
    """Turned about the origin, so that what met exactly meets but for rounding."""
    cos, sin = math.cos(angle), math.sin(angle)
    rings = (tuple((x * cos - y * sin, x * sin + y * cos) for x, y in ring) for ring in figure.rings)
    return Figure(tuple(rings), figure.even_odd)


class TestAnyRings:
    @given(st.lists(figures, min_size=1, max_size=3), st.integers(0, 7), st.randoms(use_true_random=False))
    def test_a_point_is_in_the_region_where_a_figure_has_it_inside(
        self, upright: list[Figure], angle: int, chance: random.Random
    ) -> None:
        drawn = [turned(figure, angle) for figure in upright]
        try:
            found = region_of(Outline(tuple(drawn)))
        except OutlineError:
            found = MultiPolygon()
        assert found.is_valid
        lines = MultiLineString([edge for figure in drawn for edge in edges(figure)])
        for _ in range(40):
            x, y = chance.uniform(-12, 12), chance.uniform(-12, 12)
            if lines.distance(Point(x, y)) > NEAR_AN_EDGE:
                assert found.contains(Point(x, y)) == any(is_inside(figure, x, y) for figure in drawn)

    @given(st.lists(st.floats(1, 50), min_size=3, max_size=60), st.booleans())
    def test_a_simple_polygon_has_its_shoelace_area(self, radii: list[float], even_odd: bool) -> None:
        ring = tuple(
            (r * math.cos(math.tau * i / len(radii)), r * math.sin(math.tau * i / len(radii)))
            for i, r in enumerate(radii)
        )
        shoelace = abs(sum(a * d - b * c for (a, b), (c, d) in pairwise((*ring, ring[0])))) / 2
        assert region(ring, even_odd=even_odd).area == pytest.approx(shoelace)

    @given(figures, st.floats(1, 3000))
    def test_its_area_grows_by_the_square_of_its_height(self, figure: Figure, height: float) -> None:
        outline = Outline((figure,))
        _, y0, _, y1 = outline.bounds
        try:
            area = region_of(outline).area
        except OutlineError:
            return
        scaled = region_of(outline.scaled(height, (5.0, -7.0)))
        assert scaled.area == pytest.approx(area * (height / (y1 - y0)) ** 2, rel=1e-6)


def seconds(outline: Outline) -> float:
    started = time.process_time()
    with suppress(OutlineError):
        region_of(outline)
    return time.process_time() - started


def bars(count: int, length: float) -> list[Ring]:
    return [((i, 0.0), (i + 0.5, 0.0), (i + 0.5, length), (i, length)) for i in range(count)]


def spiral(turns: int) -> Ring:
    out = [
        point for i in range(turns) for point in ((-i, -i), (i + 1, -i), (i + 1, i + 1), (-i - 1.0, i + 1.0))
    ]
    return (*out, *((x, y + 0.4) for x, y in reversed(out)))


CHANCE = random.Random(7)
SCRIBBLE = tuple((CHANCE.uniform(0, 100), CHANCE.uniform(0, 100)) for _ in range(50_000))
MANY = 6_000


class TestWork:
    @pytest.mark.parametrize(
        "figures",
        [
            [Figure((SCRIBBLE,))],
            [Figure((SCRIBBLE[:500],), True)],
            [Figure(tuple(square(i + 1.0) for i in range(12_000)), True)],
            [Figure((square(i + 1.0),)) for i in range(12_000)],
            [Figure((square(1.0),)) for _ in range(12_000)],
            [Figure((ring,)) for ring in bars(MANY, MANY)]
            + [Figure((tuple((y, x) for x, y in ring),)) for ring in bars(MANY, MANY)],
            [Figure(tuple(((i, 0.0), (i + 9e3, 9e3), (i + 9e3 + 0.4, 9e3)) for i in range(12_000)))],
            [Figure((spiral(6_000),))],
            [Figure((tuple(p for i in range(2_000) for p in ((i, 0.0), (i + 0.5, 9e4))), *bars(3, 9e4)))],
        ],
        ids=[
            "scribble", "thick scribble", "target", "stack", "copies", "trellis", "hatching", "spiral", "comb",
        ],
    )  # fmt: skip
    def test_no_outline_takes_more_than_a_few_seconds(self, figures: list[Figure]) -> None:
        assert seconds(Outline(tuple(figures))) < 10

    def test_a_plain_outline_costs_about_one_union_of_it(self) -> None:
        wave = tuple(
            ((50 + math.sin(40 * a)) * math.cos(a), (50 + math.sin(40 * a)) * math.sin(a))
            for a in (math.tau * i / 5000 for i in range(5000))
        )
        outline = Outline((Figure((wave,)),))
        union = math.inf
        for _ in range(3):
            started = time.process_time()
            unary_union([Polygon(wave)]).is_valid  # noqa: B018
            union = min(union, time.process_time() - started)
        assert min(seconds(outline) for _ in range(3)) < 12 * union + 0.02
