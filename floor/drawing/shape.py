"""The outline as drawn: thinned to what a picture shows, and what lies within a distance of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import floor, hypot

from floor.domain.outline import Outline

Point = tuple[float, float]
Ring = tuple[Point, ...]
Segment = tuple[float, float, float, float]

FINEST_MM = 0.08  # half a pixel on a tablet shows about 0.2 mm
COARSEST_MM = 1.0
MOST_LOOKED_AT = 8000
MOST_POINTS = 1200  # keeps the richest outline's picture small enough to keep on the tablet
ROW_MM = 3.0


@dataclass(frozen=True)
class Limit:
    """Where the sewing on a front ends: what lies at `x` or on the garment's side of it is kept.

    `side`: +1 on the right front, which lies to the left of its limit; -1 on the left front.
    """

    x: float
    side: int

    def inset(self, distance: float) -> Limit:
        return Limit(self.x - self.side * distance, self.side)

    def keeps(self, x: float) -> bool:
        return self.side * (self.x - x) >= 0


def drawn_rings(outline: Outline) -> tuple[Ring, ...]:
    """The rings with as few points as a picture needs; where they are too many, coarser, and then the largest
    alone: a picture is to be read at arm's length, and nothing is cut by it."""
    tolerance, rings = FINEST_MM, _without_crowds(outline.rings)
    while True:
        thinned = [ring for ring in (thin(ring, tolerance, closed=True) for ring in rings) if len(ring) > 2]
        if thinned and sum(map(len, thinned)) <= MOST_POINTS:
            return tuple(thinned)
        if not thinned or tolerance > COARSEST_MM:
            return _largest(thinned or rings)
        tolerance, rings = tolerance * 1.6, thinned


def _without_crowds(rings: Sequence[Ring]) -> list[Ring]:
    """First a quick look: points on top of each other go, and of endless scribbles every so many-th stays."""
    apart = []
    for ring in rings:
        apart.append((ring[0], *_spread(ring)))
    every = -(-sum(map(len, apart)) // MOST_LOOKED_AT)
    return [ring[::every] if len(ring) > 50 * every else ring for ring in apart]


def _spread(ring: Ring) -> Iterator[Point]:
    last = ring[0]
    for point in ring:
        if hypot(point[0] - last[0], point[1] - last[1]) >= FINEST_MM:
            yield point
            last = point


def _largest(rings: list[Ring]) -> tuple[Ring, ...]:
    kept: list[Ring] = []
    room = MOST_POINTS
    for ring in sorted(rings, key=_size, reverse=True):
        if len(ring) > room:
            if kept:
                break
            ring = ring[:: -(-len(ring) // MOST_POINTS)]
        kept.append(ring)
        room -= len(ring)
    return tuple(kept)


def _size(ring: Ring) -> float:
    xs, ys = zip(*ring, strict=True)
    return float(max(xs) - min(xs) + max(ys) - min(ys))


def thin(points: Sequence[Point], tolerance: float, *, closed: bool) -> Ring:
    """The points without those that stray less than `tolerance` mm from the line through the rest."""
    if len(points) < 3:
        return tuple(points)
    line = [*points, points[0]] if closed else list(points)
    last = len(line) - 1
    kept = {0, last}
    # A ring starts where it ends, so its far side is kept too: from one point alone no line can be drawn.
    far = max(range(last), key=lambda i: hypot(line[i][0] - line[0][0], line[i][1] - line[0][1]))
    stack = [(0, far), (far, last)] if closed and far else [(0, last)]
    kept.update(end for pair in stack for end in pair)
    while stack:
        first, end = stack.pop()
        if end - first < 2:
            continue
        segment = (*line[first], *line[end])
        away, worst = max((distance(line[i], segment), i) for i in range(first + 1, end))
        if away > tolerance:
            kept.add(worst)
            stack += [(first, worst), (worst, end)]
    order = sorted(kept)
    return tuple(line[i] for i in (order[:-1] if closed else order))


def distance(point: Point, segment: Segment) -> float:
    ax, ay, bx, by = segment
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = 0.0 if square == 0 else ((point[0] - ax) * dx + (point[1] - ay) * dy) / square
    along = min(1.0, max(0.0, along))
    return hypot(point[0] - ax - along * dx, point[1] - ay - along * dy)


@dataclass(frozen=True)
class Grown:
    """The rings grown by `by` mm all round, below 0 shrunk: what is covered, without drawing it."""

    rings: tuple[Ring, ...]
    by: float

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        return tuple(
            (*start, *end)
            for ring in self.rings
            for start, end in zip(ring, (*ring[1:], ring[0]), strict=True)
        )

    @cached_property
    def _rows(self) -> dict[int, list[Segment]]:
        rows = defaultdict(list)
        for segment in self.segments:
            low, high = sorted((segment[1], segment[3]))
            for row in range(floor(low / ROW_MM), floor(high / ROW_MM) + 1):
                rows[row].append(segment)
        return rows

    @cached_property
    def _cells(self) -> dict[tuple[int, int], list[Segment]]:
        """Each cell's segments that can be as near as `by` to a point in it."""
        cells, spare = defaultdict(list), abs(self.by)
        for segment in self.segments:
            xs, ys = sorted((segment[0], segment[2])), sorted((segment[1], segment[3]))
            for column in range(floor((xs[0] - spare) / ROW_MM), floor((xs[1] + spare) / ROW_MM) + 1):
                for row in range(floor((ys[0] - spare) / ROW_MM), floor((ys[1] + spare) / ROW_MM) + 1):
                    cells[column, row].append(segment)
        return cells

    def inside(self, point: Point) -> bool:
        """Whether the outline itself, neither grown nor shrunk, holds the point (even-odd)."""
        x, y = point
        crossings = 0
        for ax, ay, bx, by in self._rows.get(floor(y / ROW_MM), ()):
            if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                crossings += 1
        return crossings % 2 == 1

    def near(self, point: Point, spare: float = 0.0) -> bool:
        """Whether the outline's line passes nearer than |by| - `spare`."""
        cell = (floor(point[0] / ROW_MM), floor(point[1] / ROW_MM))
        reach = abs(self.by) - spare
        return any(distance(point, segment) < reach for segment in self._cells.get(cell, ()))

    def covers(self, point: Point) -> bool:
        if self.by >= 0:
            return self.inside(point) or self.near(point)
        return self.inside(point) and not self.near(point)
