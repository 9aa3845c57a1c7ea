"""What of a figure shows within the window that a nested drawing or a symbol is."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import MultiPoint, Polygon

from floor.domain.points import Point
from floor.domain.svgfill import Ring, filled


def is_cut(rings: Sequence[Ring], window: Polygon) -> bool:
    """Whether any of the rings leaves the convex window."""
    return not window.covers(MultiPoint([point for ring in rings for point in ring]))


def within(rings: Sequence[Ring], even_odd: bool, window: Polygon) -> tuple[tuple[Point, ...], ...]:
    """The rings, to be taken even-odd, of what shows of the figure within the window; nothing: ()."""
    shown = filled(rings, even_odd).intersection(window)
    return tuple(
        tuple((x, y) for x, y in ring.coords[:-1])
        for part in shapely.get_parts(shown).tolist()
        for polygon in shapely.get_parts(part).tolist()
        if isinstance(polygon, Polygon)
        for ring in (polygon.exterior, *polygon.interiors)
    )
