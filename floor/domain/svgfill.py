"""Closed rings under SVG's fill rules -> polygons.

Rings that neither cross nor touch need only be sorted by what lies within what. All others are cut up where
they cross, and each face is kept or not by how often the rings wind round a point within it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from floor.domain.points import Point
from floor.domain.svgread import OutlineError

MAX_CROSSINGS = 20_000
MAX_NEAR = 5_000_000
"""Pairs of lines whose boxes meet, each counted from both."""
MAX_WINDING_LOOKS = 10_000_000
"""How often a face's ray may be held against an edge."""

_LOOKS_AT_ONCE = 2_000_000
_GRID_OF_SIZE = 1e-9
_DUST_OF_SIZE = 1e-9  # of the square of the size: 0.01 x 0.01 mm on a design of 300 mm

Ring = Sequence[Point]


def line_of(ring: Ring) -> LineString:
    return LineString([*ring, ring[0]])


def check_crossings(rings: Sequence[Ring]) -> None:
    """OutlineError where the rings' edges meet so often that cutting them up would take unreasonable work."""
    points = sum(map(len, rings))
    if points**2 > MAX_NEAR:
        # Whatever looks for crossings looks at stretches whose boxes meet: a long spiral has too many.
        _count([LineString(stretch) for ring in rings for stretch in _stretches(ring)], MAX_NEAR, None)
    if not MultiLineString(list(map(line_of, rings))).is_simple:
        edges = _edges(rings)
        _count(edges, MAX_NEAR, None)
        # Each edge meets itself and its two neighbours, and each crossing is met from both its edges.
        _count(edges, 3 * points + 2 * MAX_CROSSINGS, "intersects")


def _stretches(ring: Ring) -> Iterator[list[Point]]:
    """The ring cut where it turns back in x or in y."""
    stretch, way = [ring[0]], None
    for here, there in pairwise([*ring, ring[0]]):
        heading = (here[0] <= there[0], here[1] <= there[1])
        if way is not None and heading != way:
            yield stretch
            stretch = [here]
        way = heading
        stretch.append(there)
    yield stretch


def _count(lines: list[LineString], most: int, predicate: Literal["intersects"] | None) -> None:
    """OutlineError where more than `most` pairs of lines meet (None: their boxes do)."""
    tree, at_once, met = STRtree(lines), max(1, _LOOKS_AT_ONCE // len(lines)), 0
    for first in range(0, len(lines), at_once):
        met += tree.query(lines[first : first + at_once], predicate=predicate).shape[1]
        if met > most:
            raise OutlineError(
                f"the outline's lines meet more than {MAX_CROSSINGS} times or run too close together;"
                " merge its shapes into one"
            )


def filled(rings: Sequence[Ring], even_odd: bool) -> BaseGeometry:
    """What one figure's rings enclose under its rule: valid, perhaps empty."""
    enclosing = [ring for ring in rings if len(set(ring)) > 2]
    if not enclosing:
        return Polygon()
    if len(enclosing) == 1:
        alone = Polygon(enclosing[0])
        return alone if alone.is_valid else _by_faces(enclosing, even_odd)
    simple = MultiLineString(list(map(line_of, enclosing))).is_simple
    return _by_nesting(enclosing, even_odd) if simple else _by_faces(enclosing, even_odd)


def united(shapes: Sequence[BaseGeometry]) -> MultiPolygon:
    """The polygons of all shapes as one region, valid; what only the rounding of numbers keeps apart is joined."""
    owned = [
        (part, owner)
        for owner, shape in enumerate(shapes)
        for part in shapely.get_parts(shape).tolist()
        if isinstance(part, Polygon) and not part.is_empty
    ]
    parts = [part for part, _ in owned]
    if len(shapes) < 2 or not parts:
        return MultiPolygon(parts)
    grid = _grid(_size(parts))
    pairs = STRtree(parts).query(parts, predicate="dwithin", distance=grid).T.tolist()
    # A shape's own parts may touch, so all of them move to the grid or none.
    near = {owned[one][1] for one, other in pairs if owned[one][1] != owned[other][1]}
    joined = shapely.unary_union([part for part, owner in owned if owner in near], grid_size=grid)
    apart = [part for part, owner in owned if owner not in near]
    return MultiPolygon(apart + [p for p in shapely.get_parts(joined).tolist() if isinstance(p, Polygon)])


def _size(shapes: Sequence[BaseGeometry]) -> float:
    x0, y0, x1, y1 = shapely.total_bounds(shapes).tolist()
    return float(max(x1 - x0, y1 - y0))


def _grid(size: float) -> float:
    """How finely numbers are told apart: a power of two, so that no plain number moves."""
    return 2.0 ** math.floor(math.log2(size * _GRID_OF_SIZE))


def _by_nesting(rings: Sequence[Ring], even_odd: bool) -> BaseGeometry:
    """Of rings apart from each other, each is an outer edge, a hole, or runs within what is filled anyway."""
    around = _what_lies_around([Polygon(ring) for ring in rings])
    turns = [1 if shapely.is_ccw(line_of(ring)) else -1 for ring in rings]
    shells: dict[int, list[Ring]] = {}
    holes: list[tuple[int, Ring]] = []
    for index, ring in enumerate(rings):
        outside = sum(turns[other] for other in around[index])
        before, after = (_inside(w, even_odd) for w in (outside, outside + turns[index]))
        if after and not before:
            shells[index] = []
        elif before and not after:
            holes.append((index, ring))
    for index, ring in holes:
        # Of the shells around a hole, the innermost is the one with the most around it.
        shells[max((i for i in around[index] if i in shells), key=lambda i: len(around[i]))].append(ring)
    return united([Polygon(rings[index], inner) for index, inner in shells.items()])


def _what_lies_around(polygons: list[Polygon]) -> list[list[int]]:
    """For each polygon, those that it lies within."""
    corners = [shapely.Point(polygon.exterior.coords[0]) for polygon in polygons]
    tree = STRtree(polygons)
    around: list[list[int]] = [[] for _ in polygons]
    at_once = max(1, _LOOKS_AT_ONCE // len(polygons))
    for first in range(0, len(polygons), at_once):
        within, outer = tree.query(corners[first : first + at_once], predicate="within")
        for inner, index in zip(within.tolist(), outer.tolist(), strict=True):
            if index != first + inner:
                around[first + inner].append(index)
    return around


def _by_faces(rings: Sequence[Ring], even_odd: bool) -> BaseGeometry:
    lines = [line_of(ring) for ring in rings]
    size = _size(lines)
    grid = _grid(size)
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(lines, grid_size=grid)]))
    winding = _winding(_edges(rings), list(faces), max(line.bounds[2] for line in lines) + size)
    kept = [face for face, turns in zip(faces, winding, strict=True) if _inside(turns, even_odd)]
    return _without_dust(shapely.coverage_union_all(kept), size * size * _DUST_OF_SIZE)


def _winding(edges: list[LineString], faces: list[Polygon], far_x: float) -> list[int]:
    """How often the edges wind round each face, counter-clockwise +, counted along a ray toward +x."""
    tree, ends = STRtree(edges), shapely.get_coordinates(edges).reshape(-1, 4)
    places = shapely.get_coordinates(shapely.point_on_surface(faces))
    at_once = max(1, _LOOKS_AT_ONCE // len(edges))
    winding: list[int] = []
    looks = 0
    for first in range(0, len(faces), at_once):
        batch = places[first : first + at_once]
        rays = [LineString(((x, y), (far_x, y))) for x, y in batch.tolist()]
        ray, edge = tree.query(rays)
        looks += len(ray)
        if looks > MAX_WINDING_LOOKS:
            raise OutlineError("the outline's lines cross too many times over; merge its shapes into one")
        (px, py), (ax, ay, bx, by) = batch[ray].T, ends[edge].T
        left = (bx - ax) * (py - ay) - (px - ax) * (by - ay)
        up, down = (ay <= py) & (py < by) & (left > 0), (by <= py) & (py < ay) & (left < 0)
        found = [0] * len(rays)
        for index, step in zip(ray[up | down].tolist(), (up * 1 - down * 1)[up | down].tolist(), strict=True):
            found[index] += step
        winding += found
    return winding


def _edges(rings: Sequence[Ring]) -> list[LineString]:
    pairs = [pair for ring in rings for pair in pairwise([*ring, ring[0]])]
    edges: list[LineString] = shapely.linestrings(pairs).tolist()
    return edges


def _inside(winding: int, even_odd: bool) -> bool:
    """Each crossed edge changes the winding number by one, so its parity is that of the edges crossed."""
    return winding % 2 == 1 if even_odd else winding != 0


def _without_dust(shape: BaseGeometry, dust: float) -> BaseGeometry:
    """Without islands and holes that only the rounding of coordinates has made."""
    polygons = [
        Polygon(part.exterior, [hole for hole in part.interiors if Polygon(hole).area > dust])
        for part in shapely.get_parts(shape).tolist()
        if isinstance(part, Polygon) and part.area > dust
    ]
    return shapely.multipolygons(polygons) if polygons else Polygon()
