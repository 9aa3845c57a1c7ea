"""How rugged an outline may be: what no hand can trim would also keep the sums busy for minutes."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon

from floor.domain.points import turns
from floor.domain.svgread import OutlineError

SHARP_DEG = 40.0  # as sharp as a corner that hands are timed by
MAX_SHARP_TURNS = 6_000
MAX_PARTS = 1_000  # pieces and holes, each to be laid or cut out by hand


def sharp_turns(region: MultiPolygon) -> int:
    """At how many vertices of its boundary the region turns by more than SHARP_DEG."""
    count = 0
    for ring in shapely.get_rings(shapely.get_parts(region)):
        points = shapely.get_coordinates(ring)[:-1]
        count += int(np.count_nonzero(np.abs(np.degrees(turns(points))) > SHARP_DEG))
    return count


def check_sewable(region: MultiPolygon) -> None:
    """OutlineError where the region has more parts, or more sharp turns, than anybody could sew and trim."""
    parts = len(shapely.get_rings(shapely.get_parts(region)))
    if parts > MAX_PARTS:
        raise OutlineError(
            f"the outline has {parts:,} parts and holes and Floor takes at most {MAX_PARTS:,}; leave the small ones out"
        )
    sharp = sharp_turns(region)
    if sharp > MAX_SHARP_TURNS:
        raise OutlineError(
            f"the outline turns sharply at {sharp:,} places and Floor takes at most {MAX_SHARP_TURNS:,};"
            " smooth its edge"
        )
