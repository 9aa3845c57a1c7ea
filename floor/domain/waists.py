"""Waists: where a region is narrowest between an inward corner of its edge and the edge across from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon
from shapely.geometry.polygon import orient

from floor.domain.points import Point

Vectors = NDArray[np.float64]
Flags = NDArray[np.bool_]

_SQUARE = 1e-9  # radians by which square across may be missed
_NUDGE = 1e-6  # of a waist's length, off each end, so that the edges it ends on do not count as in its way


@dataclass(frozen=True)
class Waist:
    """The region is `width` mm wide from `start`, a corner of its edge, straight across to `end`."""

    width: float
    start: Point
    end: Point


@dataclass(frozen=True)
class _Edges:
    """The region's edges from `a` to `b`, the region on the left of each; `before`: the row of the edge that
    ends where this one starts; `rings`: which ring each is of."""

    a: Vectors
    b: Vectors
    before: NDArray[np.intp]
    rings: NDArray[np.intp]

    @cached_property
    def way(self) -> Vectors:
        return self.b - self.a

    @cached_property
    def swept(self) -> Vectors:
        """Twice the area that each edge's start has swept about the origin since the first edge of all."""
        crossed = _cross(self.a, self.b)
        swept: Vectors = np.cumsum(crossed) - crossed
        return swept

    @cached_property
    def doubled(self) -> Vectors:
        """Twice the area within each ring, - within a hole."""
        doubled: Vectors = np.bincount(self.rings, weights=_cross(self.a, self.b)).astype(np.float64)
        return doubled

    def depth(self, one: int, other: int, width: float) -> float:
        """How far, at the least and on average, the edge departs from a straight line of `width` mm from the
        start of row `one` to row `other`, mm; infinite where they are on different rings."""
        first, last = sorted((one, other))
        if self.rings[first] != self.rings[last]:
            return inf
        between = float(self.swept[last] - self.swept[first] + _cross(self.a[last], self.a[first]))
        beyond = float(self.doubled[self.rings[first]]) - between
        return min(abs(between), abs(beyond)) / 2 / width


def waists(region: MultiPolygon, limit: float, shallow: float) -> tuple[Waist, ...]:
    """Every waist of the region narrower than `limit`, mm, one for each inward corner that has any; save
    those that only part a bump less than `shallow` mm high, on average, from the rest.

    Walking straight across from the corner, the edge on the other side is met squarely, or at an inward
    corner of its own: so the two ends of a waist are nearest to each other among all points near them. The
    sides of a plain corner face each other nowhere, and parallel sides have no waist.
    """
    if region.is_empty:
        return ()
    edges = _edges(region)
    inward = np.flatnonzero(_cross(edges.way[edges.before], edges.way) < 0)
    tree = shapely.STRtree(list(_lines(edges.a, edges.b)))
    rows, across = tree.query(shapely.points(edges.a[inward]), predicate="dwithin", distance=limit)
    corner = inward[rows]
    own = (across == corner) | (across == edges.before[corner])
    corner, across = corner[~own], across[~own]
    start = edges.a[corner]
    end, at_corner, inside = _feet(edges, start, across)
    width = np.hypot(*(end - start).T)
    faces = (width > 0) & (width < limit) & inside & _sees(edges, corner, end)
    faces &= ~at_corner | _sees(edges, across, start)
    faces[faces] = _clear(region, start[faces], end[faces])
    narrowest: dict[int, Waist] = {}
    for row in sorted(np.flatnonzero(faces), key=lambda row: -float(width[row])):
        if edges.depth(int(corner[row]), int(across[row]), float(width[row])) >= shallow:
            narrowest[int(corner[row])] = Waist(float(width[row]), _point(start[row]), _point(end[row]))
    return tuple(narrowest.values())


def _edges(region: MultiPolygon) -> _Edges:
    a, b, before, count = [], [], [], 0
    rings: list[NDArray[np.intp]] = []
    for polygon in region.geoms:
        turned = orient(polygon)
        for ring in (turned.exterior, *turned.interiors):
            points = shapely.get_coordinates(ring)
            size = len(points) - 1
            a.append(points[:-1])
            b.append(points[1:])
            before.append(count + (np.arange(size) - 1) % size)
            rings.append(np.full(size, len(rings), dtype=np.intp))
            count += size
    return _Edges(np.concatenate(a), np.concatenate(b), np.concatenate(before), np.concatenate(rings))


def _feet(edges: _Edges, start: Vectors, across: NDArray[np.intp]) -> tuple[Vectors, Flags, Flags]:
    """The nearest point of each edge across; whether it is the edge's first point, a corner; and whether the
    region lies between. An edge's last point is the first of the next."""
    a, way = edges.a[across], edges.way[across]
    along = ((start - a) * way).sum(axis=1) / (way**2).sum(axis=1)
    end = a + np.clip(along, 0, 1)[:, None] * way
    at_corner = along <= 0
    inside = (at_corner | (along < 1)) & (at_corner | (_cross(way, start - a) > 0))
    return end, at_corner, inside


def _sees(edges: _Edges, corner: NDArray[np.intp], target: Vectors) -> Flags:
    """Whether the target lies straight ahead of an inward corner: nearer to it than to either of its edges."""
    ahead = target - edges.a[corner]
    before, after = edges.way[edges.before[corner]], edges.way[corner]
    straight: Flags = (
        (_cross(before, after) < 0)
        & ((ahead * before).sum(axis=1) >= -_SQUARE * _long(ahead) * _long(before))
        & ((ahead * after).sum(axis=1) <= _SQUARE * _long(ahead) * _long(after))
        & ((_cross(before, ahead) > 0) | (_cross(after, ahead) > 0))
    )
    return straight


def _clear(region: MultiPolygon, start: Vectors, end: Vectors) -> Flags:
    """Whether nothing but the region lies between."""
    nudge = _NUDGE * (end - start)
    edge = region.boundary
    shapely.prepare(edge)
    return ~np.asarray(shapely.intersects(edge, _lines(start + nudge, end - nudge)))


def _lines(start: Vectors, end: Vectors) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack([start, end], axis=1)))


def _long(vectors: Vectors) -> Vectors:
    length: Vectors = np.hypot(vectors[:, 0], vectors[:, 1])
    return length


def _point(row: Vectors) -> Point:
    return float(row[0]), float(row[1])


def _cross(one: Vectors, other: Vectors) -> Vectors:
    product: Vectors = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return product
