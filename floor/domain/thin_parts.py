"""Thin parts: where a cloth, or a gap in it, is narrower than its border, so that no border holds there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot, radians, sin, tan
from typing import Literal

import shapely
from shapely import LineString, MultiPolygon, Polygon, box

from floor.domain.growing import grown
from floor.domain.outline import Box
from floor.domain.region import as_multi
from floor.domain.waists import Waist, waists

Kind = Literal["cloth", "gap"]

SIMPLIFY_MM = 0.02  # what a thin part is sought on strays so far at most
SAME_WIDTH_MM = 0.05  # narrower than its border by less than this is as wide as it
SPIKE_DEG = 15.0  # a tip, or a notch, that is more acute is no plain corner but a thin part
PROTRUDES_MM = 1.0  # a bump or dent that is shallower disappears under any border
CHIP_MM2 = 0.01  # a loose scrap, or a pinhole, smaller than this is no more than the sums' noise

_ROUND_SEGMENTS = 8
_MITRE_LIMIT = 1 / sin(radians(SPIKE_DEG / 2))
_MOSTLY = 0.5
_FILM_MM = 0.01  # put back on more than was taken off: no film is left along a straight side
_TOUCH_MM = 0.01
_WIDTH_ERROR_MM = 0.02


@dataclass(frozen=True)
class ThinPlace:
    """`shape`: the thin part itself, mm; `width`: how wide it is, at its narrowest where it has a waist."""

    kind: Kind
    width: float
    shape: MultiPolygon

    @property
    def box(self) -> Box:
        return self.shape.bounds


def simplified(cloth: MultiPolygon) -> MultiPolygon:
    """The cloth with fewer points, quick to seek thin parts on; strays at most SIMPLIFY_MM."""
    quick = shapely.simplify(cloth, SIMPLIFY_MM, preserve_topology=False)
    return as_multi(quick if quick.is_valid else shapely.simplify(cloth, SIMPLIFY_MM))


def thin_places(cloth: MultiPolygon, border: float) -> tuple[ThinPlace, ...]:
    """Where the cloth, or a gap between or within its parts, is narrower than `border` mm, narrowest first.

    A plain corner, outward or inward, is none down to about SPIKE_DEG.
    """
    if cloth.is_empty:
        return ()
    x0, y0, x1, y1 = cloth.bounds
    around = 3 * border
    gaps = as_multi(box(x0 - around, y0 - around, x1 + around, y1 + around).difference(cloth))
    return (*_places("cloth", cloth, border), *_places("gap", gaps, border))


def thin_at_cut(
    cloth: MultiPolygon, border: float, cut_x: float, side: int, known: Iterable[ThinPlace]
) -> tuple[ThinPlace, ...]:
    """What becomes thin because the cloth is cut off at x = `cut_x`: slivers, mostly. No gap does.

    `side`: +1 keeps x <= cut_x, -1 keeps x >= cut_x. `known`: the whole cloth's own thin places, which are
    not named again.
    """
    # A thin part that the cut makes lies within a border of it; beyond that the strip shows what it is part of.
    depth = 4 * border
    _, y0, _, y1 = cloth.bounds if not cloth.is_empty else (0.0, 0.0, 0.0, 0.0)
    inner = cut_x - side * depth
    near = as_multi(cloth.intersection(box(min(inner, cut_x), y0 - 1, max(inner, cut_x), y1 + 1)))
    if near.is_empty:
        return ()
    reached = box(min(cut_x - side * border, cut_x), y0 - 1, max(cut_x - side * border, cut_x), y1 + 1)
    old = shapely.union_all([place.shape for place in known if place.kind == "cloth"])
    return tuple(
        place
        for place in _places("cloth", near, border)
        if place.shape.intersects(reached)
        and place.shape.intersection(old).area < _MOSTLY * place.shape.area
        and (side * (place.box[0 if side > 0 else 2] - inner) > SAME_WIDTH_MM)
    )


def _places(kind: Kind, region: MultiPolygon, border: float) -> tuple[ThinPlace, ...]:
    """Thin parts that meet or nearly meet are one place."""
    limit = border - SAME_WIDTH_MM
    narrow = [(_shape_of(waist, border), True, waist.width) for waist in waists(region, limit, PROTRUDES_MM)]
    parts = _unrestored(region, limit, [shape for shape, _, _ in narrow])
    found = [*narrow, *((part, False, _width(part)) for part in parts)]
    places = []
    for group in _groups([part for part, _, _ in found], border / 4):
        members = [found[i] for i in group]
        at_waists = [width for _, at_waist, width in members if at_waist]
        width = min(at_waists) if at_waists else max(width for _, _, width in members)
        places.append(ThinPlace(kind, width, as_multi(shapely.union_all([part for part, _, _ in members]))))
    return tuple(sorted(places, key=lambda place: (place.width, place.box)))


def _unrestored(region: MultiPolygon, limit: float, at_waists: list[Polygon]) -> Iterator[Polygon]:
    """What of the region does not come back when half of `limit` is taken off all round and put back on with
    its corners sharp, and belongs to a waist or is neither a plain corner nor too shallow to matter."""
    half = limit / 2
    core = grown(region, -half, _ROUND_SEGMENTS)
    restored = as_multi(core.buffer(half + _FILM_MM, join_style="mitre", mitre_limit=_MITRE_LIMIT))
    residue = [part for part in as_multi(region.difference(restored)).geoms if part.area > CHIP_MM2]
    if not residue:
        return
    narrow, in_doubt = shapely.STRtree(at_waists), []
    shapely.prepare(restored)
    for part in residue:
        rim = part.buffer(_TOUCH_MM, quad_segs=1)
        if not restored.intersects(rim) or len(narrow.query(part, predicate="intersects")):
            yield part
        elif _length(part) >= PROTRUDES_MM:
            held = as_multi(rim.intersection(restored))
            if _depth(part, held) < PROTRUDES_MM:
                continue
            if len(held.geoms) > 1:
                yield part
            else:
                in_doubt.append(part)
    yield from _no_plain_corners(in_doubt, region, core, half)


def _no_plain_corners(
    parts: list[Polygon], region: MultiPolygon, core: MultiPolygon, half: float
) -> Iterator[Polygon]:
    """Those parts that are most of what no circle of radius `half` reaches where they lie, as a blunt tab is,
    or belong to a spike."""
    if not parts:
        return
    spike = half / tan(radians(SPIKE_DEG / 2))
    near = box(*MultiPolygon(parts).bounds).buffer(spike, join_style="mitre")
    rounded = grown(as_multi(core.intersection(near.buffer(half))), half, _ROUND_SEGMENTS)
    corners = as_multi(region.intersection(near).difference(rounded)).geoms
    tree = shapely.STRtree(list(corners))
    for part in parts:
        around = [corners[i] for i in tree.query(part, predicate="intersects")]
        corner = around[0]
        if len(around) > 1:
            corner = max(around, key=lambda corner: corner.intersection(part).area)
        if part.area >= _MOSTLY * corner.area or _length(corner) >= spike:
            yield part


def _depth(part: Polygon, held: MultiPolygon) -> float:
    """How far the part reaches away from where it is held, mm."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(part.boundary, PROTRUDES_MM / 2)))
    return float(shapely.distance(points, held).max())


def _length(part: Polygon) -> float:
    x0, y0, x1, y1 = part.bounds
    return hypot(x1 - x0, y1 - y0)


def _width(part: Polygon) -> float:
    """The widest circle's diameter that lies in the part, mm; of a ring, how wide it is on average."""
    if part.interiors:
        return float(2 * part.area / part.length)
    return 2 * float(shapely.maximum_inscribed_circle(part, tolerance=_WIDTH_ERROR_MM).length)


def _shape_of(waist: Waist, border: float) -> Polygon:
    """Enough of the cloth around the waist to be seen in a picture."""
    return LineString([waist.start, waist.end]).buffer(border / 8, quad_segs=2)


def _groups(shapes: list[Polygon], apart: float) -> list[list[int]]:
    """The rows of shapes that hang together, each no further than `apart` from another of its group."""
    if not shapes:
        return []
    hanging = as_multi(shapely.union_all(shapely.buffer(shapes, apart / 2, quad_segs=_ROUND_SEGMENTS))).geoms
    points = shapely.points([shapely.get_coordinates(shape)[0] for shape in shapes])
    rows, groups = shapely.STRtree(list(hanging)).query(points, predicate="within")
    found: list[list[int]] = [[] for _ in hanging]
    for row, group in zip(rows.tolist(), groups.tolist(), strict=True):
        found[group].append(row)
    return found
