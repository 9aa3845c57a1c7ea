"""One layer's cloth on one front: its shape, and what a hand or a machine does along its edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import ceil, degrees, dist

import shapely
from shapely import LinearRing, MultiPolygon

from floor.domain.outline import Box
from floor.domain.points import Point, turn

CORNER_DEG = 40.0  # a boundary that turns by more at one vertex has a corner there
CORNER_SIMPLIFY_MM = 0.25  # after leaving out what strays less
BLANK_OVERSIZE_MM = 20.0  # a blank is so much wider and taller than its cloth
BLANK_STEP_MM = 5.0  # and rounded up to what a hand can mark


@dataclass(frozen=True)
class Piece:
    """Layer `layer` (its index) on one front: `cloth`, mm in the garment's frame, as it is once trimmed; its
    border of `border_width` mm is centred on the cloth's edge. The cloth is empty where the layer does not
    reach this front."""

    layer: int
    cloth: MultiPolygon
    border_width: float

    @property
    def empty(self) -> bool:
        return bool(self.cloth.is_empty)

    @cached_property
    def area(self) -> float:
        """mm²."""
        return float(self.cloth.area)

    @cached_property
    def cut_length(self) -> float:
        """The cloth's whole boundary, mm: holes and the straight run along the folded edge included."""
        return float(self.cloth.length)

    @cached_property
    def holes(self) -> int:
        return sum(len(polygon.interiors) for polygon in self.cloth.geoms)

    @cached_property
    def rings(self) -> tuple[LinearRing, ...]:
        """Every closed line of the boundary: a machine begins and ends once on each."""
        return tuple(ring for polygon in self.cloth.geoms for ring in (polygon.exterior, *polygon.interiors))

    @cached_property
    def corners(self) -> int:
        # Chords of a round join turn by even parts of a circle: one at the limit is none, however rounded.
        return sum(1 for ring in self.rings for angle in _turns(ring) if abs(angle) > CORNER_DEG + 1e-6)

    @cached_property
    def bounds(self) -> Box | None:
        """x0, y0, x1, y1 of the cloth, mm; None where there is none."""
        return None if self.empty else self.cloth.bounds

    @cached_property
    def sewn_bounds(self) -> Box | None:
        """The same with the border: growing a shape by a radius grows its box by the same."""
        if self.bounds is None:
            return None
        x0, y0, x1, y1 = self.bounds
        half = self.border_width / 2
        return x0 - half, y0 - half, x1 + half, y1 + half

    @cached_property
    def blank(self) -> tuple[float, float] | None:
        """Width and height of the rough-cut cloth, mm; None where no cloth is needed."""
        if self.bounds is None:
            return None
        x0, y0, x1, y1 = self.bounds
        return blank_side(x1 - x0), blank_side(y1 - y0)


def blank_side(cloth: float) -> float:
    """One side of a blank, mm, for a cloth that measures `cloth` mm: oversize, rounded up."""
    # A side that is whole but for the last binary digit must not grow by a step.
    return BLANK_STEP_MM * ceil((cloth + BLANK_OVERSIZE_MM - 1e-6) / BLANK_STEP_MM)


def union_box(boxes: Iterator[Box | None]) -> Box | None:
    """The box around all boxes; None where there is none."""
    found = [box for box in boxes if box is not None]
    if not found:
        return None
    x0, y0, x1, y1 = zip(*found, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _turns(ring: LinearRing) -> Iterator[float]:
    """The turn at each vertex of the simplified ring, degrees, + to the left."""
    points: list[Point] = _simplified(ring)
    around = [points[-1], *points, points[0]]
    for before, here, after in zip(around, around[1:], around[2:], strict=False):
        yield degrees(turn(before, here, after))


def _simplified(ring: LinearRing) -> list[Point]:
    """The ring's vertices after simplifying, the first not repeated.

    Simplifying keeps the vertex that a ring happens to start with, and splits it from there; so the ring is
    first begun at its sharpest vertex, of equally sharp ones at that furthest out, and runs to the sharper of
    its neighbours: a mirrored ring has the same corners.
    """
    points: list[Point] = [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]
    around = [points[-1], *points, points[0]]
    x0, y0, x1, y1 = ring.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)

    def rank(i: int) -> tuple[float, float, float]:
        sharpness = abs(turn(around[i], around[i + 1], around[i + 2]))
        return round(sharpness, 6), round(dist(points[i], middle), 6), round(points[i][1], 6)

    first = max(range(len(points)), key=rank)
    begun = points[first:] + points[:first]
    if rank((first + 1) % len(points)) < rank(first - 1):
        begun = begun[:1] + begun[:0:-1]
    thin = shapely.simplify(shapely.LinearRing(begun), CORNER_SIMPLIFY_MM)
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(thin)[:-1]]
