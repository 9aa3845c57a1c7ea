"""How finely a picture draws the plan's shapes: where there are too many points, lines grow plainer by steps.

No part is left out for being small: on the coarser steps parts that lie close together are drawn as one.
"""

from __future__ import annotations

from functools import lru_cache

import shapely
from shapely import MultiPolygon

from floor.domain.pieces import Piece
from floor.domain.plan import JobPlan
from floor.domain.region import as_multi
from floor.drawing.svg import path_data

TOLERANCES_MM = (0.08, 0.16, 0.32, 0.64, 1.28, 2.56, 5.12)  # how far a drawn line may stray, by level
RUN_TOGETHER_MM = 0.64  # from this tolerance on, gaps narrower than twice the tolerance are closed
MOST_POINTS = 4500  # of all pieces of a size together: about 10 KB of a compressed picture
CLOSING_SEGMENTS = 2
SHAPES_KEPT_IN_MEMORY = 256


@lru_cache(maxsize=SHAPES_KEPT_IN_MEMORY)
def finest_level(plan: JobPlan) -> int:
    """The level (index of TOLERANCES_MM) that the plan's pictures begin with: the finest at which the pieces of
    all fronts together have no more than MOST_POINTS."""
    size = next(iter(plan.sizes.values()))
    pieces = [piece for front in size.fronts.values() for piece in front.sewn]
    for level in range(len(TOLERANCES_MM)):
        if sum(int(shapely.get_num_coordinates(drawn(piece, level))) for piece in pieces) <= MOST_POINTS:
            return level
    return len(TOLERANCES_MM) - 1


@lru_cache(maxsize=SHAPES_KEPT_IN_MEMORY)
def drawn(piece: Piece, level: int) -> MultiPolygon:
    """The piece's cloth with the points of this level, each level made from the one before."""
    tolerance, shape = TOLERANCES_MM[level], drawn(piece, level - 1) if level else piece.cloth
    if tolerance >= RUN_TOGETHER_MM:
        grown = shape.buffer(tolerance, quad_segs=CLOSING_SEGMENTS)
        shape = as_multi(grown.buffer(-tolerance, quad_segs=CLOSING_SEGMENTS))
    # Part by part: that two parts may touch by a hair is nothing to a picture, and many parts are quickly done.
    return MultiPolygon(list(shapely.simplify(shapely.get_parts(shape), tolerance)))


def beyond(shape: MultiPolygon, by: float, level: int) -> MultiPolygon:
    """A drawn shape grown by `by` mm with round joins (below 0: shrunk), with this level's points."""
    grown = shape.buffer(by, quad_segs=max(2, 8 >> level))
    return as_multi(grown.simplify(TOLERANCES_MM[level] / 2))


def shape_data(shape: MultiPolygon) -> str:
    """Path data of all rings of the shape, to be filled by the even-odd rule."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    return path_data((ring[:-1], True) for ring in (shapely.get_coordinates(one).tolist() for one in rings))
