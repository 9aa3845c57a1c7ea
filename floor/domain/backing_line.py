"""The line that is sewn on the hooped backing, before the garment lies there, to show where it goes."""

from __future__ import annotations

from floor.domain.fronts import FrontPlan
from floor.domain.job import Job
from floor.domain.points import Point

BEYOND_MM = 15.0  # the line runs on so far past what is sewn, to be seen beside the garment
TICK_MM = 20.0  # a tick at the window's upper and lower line runs so far into the garment


def backing_lines(job: Job, front: FrontPlan) -> tuple[tuple[Point, Point], ...]:
    """The straight lines on the backing, start and end of each, mm in the garment's frame.

    On a front that opens: the folded edge from 15 mm below the window to 15 mm above it, then a tick of 20 mm
    into the garment at the window's upper and at its lower line. On a whole front: a cross through the
    design's centre, 15 mm beyond all that is sewn. () where nothing is sewn. Crests, sewn on backing alone,
    have none: there the bottom layer's own shape is the line.
    """
    if front.extent is None:
        return ()
    if front.edge_x is None:
        (x0, y0, x1, y1), (x, y) = front.extent, job.design.centre
        return (
            ((x0 - BEYOND_MM, y), (x1 + BEYOND_MM, y)),
            ((x, y0 - BEYOND_MM), (x, y1 + BEYOND_MM)),
        )
    edge, inward = front.edge_x, front.edge_x - front.side * TICK_MM
    low, high = front.window
    return (
        ((edge, low - BEYOND_MM), (edge, high + BEYOND_MM)),
        ((edge, high), (inward, high)),
        ((edge, low), (inward, low)),
    )
