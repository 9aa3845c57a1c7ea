"""How many garments or pieces one load holds."""

from __future__ import annotations

from math import floor

from floor.domain.plan import JobPlan
from floor.domain.route_parts import Route

ROUNDING_MM = 1e-6  # a piece that fits exactly must not be lost to the last binary digit


def load_size(route: Route, plan: JobPlan) -> int:
    """Garments that one load holds: one a head; or, on a route with `load = "hooping"`, as many on each head
    as its hoop takes, each with all that is sewn on it. Where sizes or fronts differ, the biggest decides.

    At least one a head: whether even one fits the hoop is said where the job is planned.
    """
    job = plan.job
    if route.load == "heads":
        return job.machine.heads
    extents = [front.extent for size in plan.sizes.values() for front in size.fronts.values() if front.extent]
    counts = [
        pieces_in_hoop(job.hoop.field, (x1 - x0, y1 - y0), job.hoop.clearance) for x0, y0, x1, y1 in extents
    ]
    return job.machine.heads * max(1, min(counts, default=1))


def pieces_in_hoop(field: tuple[float, float], extent: tuple[float, float], clearance: float) -> int:
    """How many pieces of `extent`, with `clearance` all round each, lie in `field` on a plain grid, unturned.

    All mm. 0 when not even one fits. ValueError for an extent that is not above 0.
    """
    if min(extent) <= 0:
        raise ValueError(f"A piece must be wider and taller than 0 mm; found {extent[0]:g} x {extent[1]:g}.")
    across, down = (
        floor((room + ROUNDING_MM) / (size + 2 * clearance)) for room, size in zip(field, extent, strict=True)
    )
    return across * down
