"""What a believed lie makes at the seam: the risk that a step exceeds the tolerance, and the nudge that is best.

static/js/place_steps.js has the same sums; tests/vectors/place.json holds both equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import cos, log, pi, sin, sqrt

from floor.domain.fronts import Readings
from floor.domain.place_lie import Lie
from floor.domain.place_sums import PlaceSums
from floor.domain.placement import ON_ITS_PLACE, lies_by, nudged, other_lies_by, steps_between

NUDGE_STEP_MM = 0.1  # machines are moved in tenths
LEAST_NUDGE_MM = 0.15  # less than this in a direction is not asked for
MOST_NUDGE_MM = 30.0  # more is no nudge
CHANCES = 512  # ways it could lie that a risk is counted over
MEAN_WEIGHT = 0.02  # mm of worst step that a mm off the mean nudge is worth: it settles what steps leave open
SEARCH_FROM_MM, SEARCH_TO_MM = 1.0, 0.01
STRICTLY_LESS_MM = 1e-9  # a move of the search must win more than a last digit


def linear_steps(sums: PlaceSums, readings: Readings, against: Readings | None) -> tuple[float, ...]:
    """The plain rule's steps with the tangent of each skew for its angle, as a tablet reckons them."""
    own = lies_by(sums.expected, sums.across_sign, sums.height, readings)
    other = ON_ITS_PLACE if against is None else other_lies_by(sums, against)
    return steps_between(sums, own, other)


def risk_of(sums: PlaceSums, own: Lie, other: Lie, steps: Sequence[float]) -> float:
    """The share of the ways it could lie in which some step exceeds the tolerance."""
    along = sqrt(own.along.var + other.along.var)
    across = sqrt(own.across.var + other.across.var)
    skew, other_skew = own.skew.spread, other.skew.spread
    rows = [
        (mean, one.along * along, one.across * across, one.skew * skew, one.other_skew * other_skew)
        for mean, one in zip(steps, sums.steps, strict=True)
    ]
    beyond = 0
    for first, second, third, fourth in _chances():
        for mean, by_along, by_across, by_skew, by_other in rows:
            step = mean + first * by_along + second * by_across + third * by_skew + fourth * by_other
            if abs(step) > sums.tolerance:
                beyond += 1
                break
    return beyond / CHANCES


def best_nudge(sums: PlaceSums, steps: Sequence[float], to_mean: tuple[float, float]) -> tuple[float, float]:
    """The nudge after which the worst step is expected least; where steps leave it open, the one to the mean.

    A search by halves from the nudge to the mean: what it looks for is convex.
    """

    def worth(along: float, across: float) -> float:
        off = sqrt((along - to_mean[0]) ** 2 + (across - to_mean[1]) ** 2)
        return max(map(abs, nudged(sums, steps, (along, across)))) + MEAN_WEIGHT * off

    (along, across), by = to_mean, SEARCH_FROM_MM
    best = worth(along, across)
    while by > SEARCH_TO_MM:
        for da, dx in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1), (1, -1), (-1, 1)):
            value = worth(along + da * by, across + dx * by)
            if value < best - STRICTLY_LESS_MM:
                along, across, best = along + da * by, across + dx * by, value
                break
        else:
            by /= 2
    return _asked(along), _asked(across)


def _asked(value: float) -> float:
    """What a machine can be told: tenths, and nothing that is not worth a hand on it."""
    if abs(value) < LEAST_NUDGE_MM:
        return 0.0
    whole = int(abs(value) / NUDGE_STEP_MM + 0.5)
    return (whole if value > 0 else -whole) / 10


@lru_cache(maxsize=1)
def _chances() -> tuple[tuple[float, float, float, float], ...]:
    """Evenly spread standard-normal fours: an additive recurrence on the roots of x^5 = x + 1, put through the
    transform of Box and Muller."""
    root = 1.0
    for _ in range(64):
        root = (1 + root) ** 0.2
    found = []
    for at in range(1, CHANCES + 1):
        one, two, three, four = ((0.5 + at * root ** -(power + 1)) % 1 for power in range(4))
        far, near = sqrt(-2 * log(one)), sqrt(-2 * log(three))
        found.append(
            (
                far * cos(2 * pi * two),
                far * sin(2 * pi * two),
                near * cos(2 * pi * four),
                near * sin(2 * pi * four),
            )
        )
    return tuple(found)
