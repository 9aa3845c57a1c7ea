"""The edge of a grown outline as lines, for all that is drawn dashed or stitched along it.

Each stretch of the outline is moved outward; what then lies within the grown shape is no edge and falls away,
and the ends that are left are joined. Good to about half a mm, for pictures only: nothing is cut by it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import atan2, ceil, cos, dist, hypot, pi, sin

from floor.drawing.shape import Grown, Limit, Point, Ring, thin

STEP_MM = 0.8
JOIN_MM = 3.0  # ends no farther apart than this are one line
SHORTEST_MM = 2.0
SLACK_MM = 0.03
LEAST_BY_MM = 0.05  # also tells an outline's true edge from a line inside it
PROBE_MM = 0.02
THIN_MM = 0.08


@dataclass(frozen=True)
class EdgeLine:
    points: Ring
    closed: bool


@lru_cache(maxsize=64)
def edge_lines(rings: tuple[Ring, ...], by: float, limit: Limit | None) -> tuple[EdgeLine, ...]:
    """The edge of the rings grown by `by` and kept to `limit`, the straight run along the limit included."""
    grown = Grown(rings, by if abs(by) >= LEAST_BY_MM else LEAST_BY_MM)
    runs = [run for ring in rings for run in _runs(grown, ring, limit)]
    if limit is not None:
        runs += _along_limit(grown, limit)
    lines = _joined(runs)
    return tuple(
        EdgeLine(thin(line.points, THIN_MM, closed=line.closed), line.closed)
        for line in lines
        if sum(map(dist, line.points, line.points[1:])) >= SHORTEST_MM
    )


def crossings(rings: tuple[Ring, ...], by: float, limit: Limit) -> list[float]:
    """The heights y at which the edge of the grown rings meets the limit, lowest first."""
    grown = Grown(rings, by if abs(by) >= LEAST_BY_MM else LEAST_BY_MM)
    return sorted(y for run in _along_limit(grown, limit) for _, y in run)


def _runs(grown: Grown, ring: Ring, limit: Limit | None) -> Iterator[list[Point]]:
    """The ring's own part of the edge, in stretches."""
    moved = list(_moved(grown, ring))
    edge = [point if point and not grown.near(point, SLACK_MM) else None for point in moved]
    if all(edge) and (limit is None or all(point and limit.keeps(point[0]) for point in edge)):
        yield [point for point in edge if point] + [point for point in edge[:1] if point]
        return
    # Begin where the edge is broken, so that no stretch is cut in two by where the ring happens to start.
    start = next(
        (i for i, p in enumerate(edge) if p is None or (limit is not None and not limit.keeps(p[0]))), 0
    )
    run: list[Point] = []
    before: Point | None = None
    for point in edge[start:] + edge[:start]:
        if point is None:
            continue
        joined = before is not None and dist(before, point) <= 2 * STEP_MM
        if run and not joined:
            yield run
            run = []
        if limit is not None and before is not None and joined:
            crossing = _crossing(before, point, limit)
            if crossing:
                run.append(crossing)
        if limit is None or limit.keeps(point[0]):
            run.append(point)
        elif run:
            yield run
            run = []
        before = point
    if run:
        yield run


def _moved(grown: Grown, ring: Ring) -> Iterator[Point | None]:
    """The ring's points moved outward (inward where it shrinks), round at corners; None: no edge here."""
    pairs = [(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if a != b]
    pushes = [_push(grown, start, end) for start, end in pairs]
    for i, ((start, end), push) in enumerate(zip(pairs, pushes, strict=True)):
        before = pushes[i - 1]
        if push is None:
            yield None
            continue
        if before is not None:
            yield from _round(start, before, push)
        steps = max(1, ceil(dist(start, end) / STEP_MM))
        for share in (step / steps for step in range(steps + 1)):
            yield (
                start[0] + share * (end[0] - start[0]) + push[0],
                start[1] + share * (end[1] - start[1]) + push[1],
            )


def _push(grown: Grown, start: Point, end: Point) -> Point | None:
    """How far and which way a stretch of the outline moves; None where both its sides are cloth, or neither."""
    length = dist(start, end)
    across = ((end[1] - start[1]) / length, (start[0] - end[0]) / length)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    behind, ahead = (
        grown.inside((middle[0] + way * PROBE_MM * across[0], middle[1] + way * PROBE_MM * across[1]))
        for way in (-1, 1)
    )
    if behind == ahead:
        return None
    by = grown.by if behind else -grown.by
    return by * across[0], by * across[1]


def _round(corner: Point, before: Point, after: Point) -> Iterator[Point]:
    radius = hypot(*before)
    first = atan2(before[1], before[0])
    turn = (atan2(after[1], after[0]) - first + pi) % (2 * pi) - pi
    steps = ceil(abs(turn) * radius / STEP_MM)
    for i in range(1, steps):
        angle = first + turn * i / steps
        yield corner[0] + radius * cos(angle), corner[1] + radius * sin(angle)


def _crossing(start: Point, end: Point, limit: Limit) -> Point | None:
    if limit.keeps(start[0]) == limit.keeps(end[0]):
        return None
    share = (limit.x - start[0]) / (end[0] - start[0])
    return limit.x, start[1] + share * (end[1] - start[1])


def _along_limit(grown: Grown, limit: Limit) -> list[list[Point]]:
    """The straight runs along the limit, each as its two ends."""
    ys = [y for ring in grown.rings for _, y in ring]
    low, high = min(ys) - abs(grown.by) - STEP_MM, max(ys) + abs(grown.by) + STEP_MM
    runs: list[list[Point]] = []
    covered, start = False, low
    for i in range(1, ceil((high - low) / STEP_MM) + 1):
        y = low + i * STEP_MM
        if grown.covers((limit.x, y)) == covered:
            continue
        change = _change(grown, limit.x, y - STEP_MM, y)
        if covered:
            runs.append([(limit.x, start), (limit.x, change)])
        covered, start = not covered, change
    return runs


def _change(grown: Grown, x: float, low: float, high: float) -> float:
    below = grown.covers((x, low))
    while high - low > PROBE_MM:
        middle = (low + high) / 2
        if grown.covers((x, middle)) == below:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _joined(runs: list[list[Point]]) -> list[EdgeLine]:
    """The runs put end to end, nearest first, and closed where they come back to their start."""
    lines = []
    left = [run for run in runs if len(run) > 1]
    while left:
        line = left.pop(0)
        while left:
            nearest = min(left, key=lambda run: min(dist(line[-1], run[0]), dist(line[-1], run[-1])))
            gap = min(dist(line[-1], nearest[0]), dist(line[-1], nearest[-1]))
            if gap > JOIN_MM or dist(line[-1], line[0]) < gap:
                break
            left.remove(nearest)
            line += nearest if gap == dist(line[-1], nearest[0]) else nearest[::-1]
        closed = len(line) > 3 and dist(line[0], line[-1]) <= JOIN_MM
        lines.append(EdgeLine(tuple(line), closed))
    return lines
