"""Points of the plane."""

from __future__ import annotations

from math import atan2

Point = tuple[float, float]


def turn(before: Point, here: Point, after: Point) -> float:
    """By how much the way from `before` over `here` to `after` turns, radians, + to the left, in -pi..pi."""
    ax, ay = here[0] - before[0], here[1] - before[1]
    bx, by = after[0] - here[0], after[1] - here[1]
    return atan2(ax * by - ay * bx, ax * bx + ay * by)
