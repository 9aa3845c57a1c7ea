"""What a route asks of a job file, and the bounds that several of its tables share."""

from __future__ import annotations

from dataclasses import dataclass

MAX_SHIFT_MM = 300.0
"""How far an offset, a reach over an edge or a clearance may go: more is a slip in the unit."""


@dataclass(frozen=True)
class RouteNeeds:
    """What a route asks of a job: `opening`: it has one (or has none); at least `min_layers` layers."""

    opening: bool
    min_layers: int
