"""Where a layer's cloth crosses the seam, and which way its edge runs there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely
from shapely import LinearRing, MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from floor.domain.points import Point

ON_LINE_MM = (
    1e-6  # a vertex no farther off lies on the line: growing a shape moves it by its last binary digits
)


@dataclass(frozen=True)
class Crossing:
    """The edge of layer `layer`'s cloth crosses the seam at height `y`, mm; `normal`: its unit normal there,
    away from the cloth."""

    layer: int
    y: float
    normal: Point


def crossings_of(cloths: Iterable[MultiPolygon], x: float) -> tuple[Crossing, ...]:
    """All points at which the whole cloths' edges cross the upright line at `x`, by layer, lowest first.

    An edge that only touches the line crosses nothing, and one that runs along it crosses where it leaves to
    the other side. What lies within ON_LINE_MM of the line lies on it.
    """
    found = []
    for layer, cloth in enumerate(cloths):
        on_line = [
            Crossing(layer, y, normal)
            for polygon in cloth.geoms
            for ring in _rings(orient(polygon))
            for y, normal in _of_ring(ring, x)
        ]
        found += sorted(on_line, key=lambda crossing: crossing.y)
    return tuple(found)


def _rings(polygon: Polygon) -> tuple[LinearRing, ...]:
    """With the cloth on the left of each: the outer ring anticlockwise, holes clockwise."""
    return (polygon.exterior, *polygon.interiors)


def _of_ring(ring: LinearRing, x: float) -> Iterator[tuple[float, Point]]:
    """Each passage of the ring from one side of the line to the other, once: height and outward normal.

    Where vertices lie on the line itself, the passage is at the middle of their run, and its way is that
    from the last vertex before the line to the first after it.
    """
    points = _near_line(ring, x)
    start = next((i for i, (side, _) in enumerate(points) if side), None)
    if start is None:
        return
    (last_side, last), run = points[start], []
    for side, here in [*points[start + 1 :], *points[: start + 1]]:
        if not side:
            run.append(here[1])
            continue
        if last_side != side:
            (ax, ay), (bx, by) = last, here
            y = (run[0] + run[-1]) / 2 if run else ay + (x - ax) * (by - ay) / (bx - ax)
            length = hypot(bx - ax, by - ay)
            yield y, ((by - ay) / length, (ax - bx) / length)
        last_side, last, run = side, here, []


def _near_line(ring: LinearRing, x: float) -> list[tuple[int, Point]]:
    """The ring's vertices, each with its side of the line (-1, 0 on it, 1), without those that have a vertex of
    their own side both before and after: an edge that meets the line has both its ends left."""
    points = shapely.get_coordinates(ring)[:-1]
    beyond = points[:, 0] - x
    side = np.where(np.abs(beyond) <= ON_LINE_MM, 0, np.sign(beyond)).astype(int)
    near = (side != np.roll(side, 1)) | (side != np.roll(side, -1))
    return [
        (int(on), (float(here[0]), float(here[1]))) for on, here in zip(side[near], points[near], strict=True)
    ]
