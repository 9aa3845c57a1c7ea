"""Cloth grown or shrunk all round, in a time that a rugged edge does not multiply."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from floor.domain.region import as_multi
from floor.domain.sewable import sharp_turns

RUGGED_TURNS = 1_000  # from here on cloth is grown in steps
STEP_SHARES = (0.02, 0.08, 0.3, 0.6)  # of the whole way
BETWEEN_STEPS_MM = 0.002  # far less than the 0.05 mm to which the outline itself is read


def grown(region: MultiPolygon, by: float, segments: int) -> MultiPolygon:
    """The region grown by `by` mm with round joins of `segments` chords a quarter; below 0: shrunk.

    A rugged edge is grown in steps, which comes to the same: the first ones close what the whole way would
    cut up against itself a thousandfold.
    """
    if sharp_turns(region) <= RUGGED_TURNS:
        return as_multi(region.buffer(by, quad_segs=segments))
    cloth: BaseGeometry = region
    for share in STEP_SHARES:
        cloth = shapely.simplify(cloth.buffer(by * share, quad_segs=segments), BETWEEN_STEPS_MM)
    return as_multi(cloth)
