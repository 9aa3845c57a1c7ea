"""The outline's rings under their fill rules -> the region of cloth that they enclose."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon, unary_union

from floor.domain.outline import Outline


def region_of(outline: Outline) -> MultiPolygon:
    """What the outline's figures enclose, each under its own fill rule, taken together; valid, same units.

    OutlineError where they enclose no area.
    """
    return as_multi(unary_union([Polygon(ring).buffer(0) for ring in outline.rings]))


def as_multi(shape: object) -> MultiPolygon:
    """The polygons of any geometry as one MultiPolygon; lines and points in it have no area and are dropped."""
    parts = getattr(shape, "geoms", [shape])
    return MultiPolygon(
        [p for part in parts for p in as_multi_parts(part) if not p.is_empty]
    )


def as_multi_parts(part: object) -> list[Polygon]:
    if isinstance(part, Polygon):
        return [part]
    if isinstance(part, MultiPolygon):
        return list(part.geoms)
    return []
