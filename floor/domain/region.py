"""The outline's figures under their fill rules -> the region of cloth that they enclose."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from floor.domain.outline import Outline
from floor.domain.svgfill import check_crossings, filled, united
from floor.domain.svgread import OutlineError


def region_of(outline: Outline) -> MultiPolygon:
    """What the outline's figures enclose, each under its own fill rule, taken together; valid, same units.

    OutlineError where they enclose no area, or cross so often that cutting them up takes unreasonable work.
    """
    check_crossings(outline.rings)
    region = united([filled(figure.rings, figure.even_odd) for figure in outline.figures])
    if region.is_empty:
        raise OutlineError("the outline encloses no area; draw it as closed shapes")
    return region


def as_multi(shape: BaseGeometry) -> MultiPolygon:
    """The polygons of any geometry as one MultiPolygon; lines and points in it have no area and are dropped."""
    if isinstance(shape, MultiPolygon):
        return shape
    parts = shape.geoms if isinstance(shape, shapely.GeometryCollection) else [shape]
    polygons: list[Polygon] = []
    for part in parts:
        if isinstance(part, Polygon) and not part.is_empty:
            polygons.append(part)
        elif isinstance(part, MultiPolygon):
            polygons.extend(part.geoms)
    return MultiPolygon(polygons)
