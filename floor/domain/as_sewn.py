"""Where a front that is sewn is measured: at the highest and the lowest place where its sewing crosses the opening.

Off the hoop no needle shows the window's lines, and a front's own sewing may not reach them; where its outermost
border crosses the folded edge it can be seen and measured, and there the halves have to meet.
"""

from __future__ import annotations

from functools import lru_cache

from shapely import MultiPolygon

from floor.domain.fronts import ROUND_SEGMENTS, FrontPlan, Readings
from floor.domain.growing import grown
from floor.domain.job import Front
from floor.domain.place_sums import OtherSums
from floor.domain.plan import JobPlan
from floor.domain.seam import Crossing, crossings_of

LEAST_ALONG = (0.5, 0.3, 0.15)  # of an edge's normal: the steeper an edge, the worse its height can be read
NEAR = 0.05  # of the window's height: places nearer each other tell nothing of a skew
FAR_ENOUGH = 0.5  # nearer, they tell little of it, and steeper edges farther apart tell more
PLANS_KEPT_IN_MEMORY = 64


def sewn_sums(plan: JobPlan, size: str, front: Front) -> OtherSums | None:
    """How readings of `front` as it was sewn tell where its design lies; None where nothing crosses the opening.

    Readings: u, l from the buttons' centres to the outer edge of the sewing at its upper and lower crossing, a, b
    from the folded edge to the sewing's end there.
    """
    own = plan.sizes[size].fronts[front]
    opening = plan.sizes[size].opening
    if opening is None or own.edge_x is None or own.reach is None:
        return None
    x = measured_at(plan, own)
    ends = _ends(_outer_crossings(plan, x), own.window[1] - own.window[0])
    if ends is None:
        return None
    lower, upper = ends
    middle = (own.window[0] + own.window[1]) / 2
    return OtherSums(
        expected=Readings(upper.y - opening.span / 2, -lower.y - opening.span / 2, own.reach, own.reach),
        upper=upper.y - middle,
        lower=lower.y - middle,
        slant_upper=upper.normal[0] / upper.normal[1],
        slant_lower=lower.normal[0] / lower.normal[1],
        lever=x - own.edge_x,
    )


def _ends(crossings: tuple[Crossing, ...], window: float) -> tuple[Crossing, Crossing] | None:
    """The lowest and the highest crossing, of the least steep edges that lie far enough apart."""
    found = None
    for least in LEAST_ALONG:
        flat = sorted((one for one in crossings if abs(one.normal[1]) >= least), key=lambda one: one.y)
        if len(flat) < 2 or flat[-1].y - flat[0].y < NEAR * window:
            continue
        found = found or (flat[0], flat[-1])
        if flat[-1].y - flat[0].y >= FAR_ENOUGH * window:
            return flat[0], flat[-1]
    return found


def measured_at(plan: JobPlan, front: FrontPlan) -> float:
    """The x at which the sewing's upper and lower edge are measured: on the folded edge where the sewing reaches
    it, else a border's width before its end."""
    assert front.edge_x is not None
    assert front.reach is not None
    if front.reach >= 0:
        return front.edge_x
    widest = max(layer.border.width for layer in plan.job.layers)
    return front.edge_x + front.side * (front.reach - widest)


@lru_cache(maxsize=PLANS_KEPT_IN_MEMORY)
def _outer_crossings(plan: JobPlan, x: float) -> tuple[Crossing, ...]:
    """Where the outer edges of the borders cross the upright line at `x`."""
    return crossings_of(_outer(plan), x)


@lru_cache(maxsize=PLANS_KEPT_IN_MEMORY)
def _outer(plan: JobPlan) -> tuple[MultiPolygon, ...]:
    """Each layer's cloth with the outer half of its border."""
    return tuple(
        grown(cloth, layer.border.width / 2, ROUND_SEGMENTS)
        for cloth, layer in zip(plan.cloths, plan.job.layers, strict=True)
    )
