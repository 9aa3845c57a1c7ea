"""Rings around the places that the plan warns of."""

from __future__ import annotations

from collections.abc import Iterable

from shapely import box, unary_union

from floor.domain.plan_warnings import PlanWarning
from floor.domain.region import as_multi
from floor.drawing.colours import CAUTION, CREAM
from floor.drawing.detail import shape_data
from floor.drawing.sheet import Sheet

AIR_PX = 7.0
RING_PX = 4.0


def rings_around(sheet: Sheet, warnings: Iterable[PlanWarning]) -> str:
    """One ring around each place; places near one another share one. Brown on cream: a caution."""
    px = sheet.px
    places = [box(*place).buffer(AIR_PX * px, quad_segs=4) for one in warnings for place in one.places]
    if not places:
        return ""
    data = shape_data(as_multi(unary_union(places)))
    return sheet.shape(data, fill="none", stroke=CREAM, stroke_width=2.2 * RING_PX * px) + sheet.shape(
        data, fill="none", stroke=CAUTION, stroke_width=RING_PX * px
    )
