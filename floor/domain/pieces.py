"""One layer's cloth on one front: its shape, and what a hand or a machine does along its edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import ceil

import numpy as np
import shapely
from shapely import LinearRing, MultiPolygon

from floor.domain.outline import Box
from floor.domain.points import Points, turns

CORNER_DEG = 40.0  # a boundary that turns by more at one vertex has a corner there
ROUNDING_DEG = 1e-6
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
        return sum(map(_corners, self.rings))

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


def _corners(ring: LinearRing) -> int:
    """How many vertices of the simplified ring turn by more than a corner does."""
    sharp = np.degrees(turns(_simplified(ring)))
    # Chords of a round join turn by even parts of a circle: one at the limit is none, however rounded.
    return int(np.count_nonzero(np.abs(sharp) > CORNER_DEG + ROUNDING_DEG))


def _simplified(ring: LinearRing) -> Points:
    """The ring's vertices after simplifying, the first not repeated.

    Simplifying keeps the vertex that a ring happens to start with, and splits it from there; so the ring is
    first begun at its sharpest vertex, of equally sharp ones at that furthest out, and runs to the sharper of
    its neighbours: a mirrored ring has the same corners.
    """
    points = shapely.get_coordinates(ring)[:-1]
    x0, y0, x1, y1 = ring.bounds
    sharpness = np.round(np.abs(turns(points)), 6)
    out = np.round(np.hypot(points[:, 0] - (x0 + x1) / 2, points[:, 1] - (y0 + y1) / 2), 6)
    order = np.lexsort((np.round(points[:, 1], 6), out, sharpness))
    place = np.empty(len(points), dtype=int)
    place[order] = np.arange(len(points))
    begun = np.roll(points, -order[-1], axis=0)
    if place[(order[-1] + 1) % len(points)] < place[order[-1] - 1]:
        begun = np.concatenate([begun[:1], begun[:0:-1]])
    thin = shapely.simplify(shapely.LinearRing(begun), CORNER_SIMPLIFY_MM)
    kept: Points = shapely.get_coordinates(thin)[:-1]
    return kept
