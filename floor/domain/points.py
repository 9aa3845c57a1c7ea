"""Points of the plane, and how a line through them turns."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Points = NDArray[np.float64]


def turns(points: Points) -> Points:
    """By how much a closed line turns at each of its points (n x 2, the first not repeated), radians, + to the
    left, in -pi..pi."""
    ways = np.diff(points, axis=0, append=points[:1])
    before = np.roll(ways, 1, axis=0)
    cross = before[:, 0] * ways[:, 1] - before[:, 1] * ways[:, 0]
    found: Points = np.arctan2(cross, (before * ways).sum(axis=1))
    return found
