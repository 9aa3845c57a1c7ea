"""How many garments or pieces one load holds."""

from __future__ import annotations

from math import floor

from floor.domain.fronts import sewn_beyond_outline
from floor.domain.job import Job
from floor.domain.route_parts import Route

ROUNDING_MM = 1e-6  # a piece that fits exactly must not be lost to the last binary digit


def load_size(route: Route, job: Job, outline_width_mm: float) -> int:
    """Garments that one load holds: one a head; or, on a route with `load = "hooping"`, as many on each head
    as its hoop takes, each the outline's box (`outline_width_mm` wide) grown by all that is sewn beyond it.

    At least one a head: whether even one fits the hoop is said where the job is planned.
    """
    if route.load == "heads":
        return job.machine.heads
    grown = 2 * sewn_beyond_outline(job)
    extent = (outline_width_mm + grown, job.design.height + grown)
    return job.machine.heads * max(1, pieces_in_hoop(job.hoop.field, extent, job.hoop.clearance))


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
