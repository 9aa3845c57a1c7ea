"""What a shop's steps and placements say of how it works: its charts' limits, the share that steps too far, and
how far what was foretold held.

Normal 95 % intervals throughout. Nothing to tell from is None, never 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, fsum, lgamma, log, sqrt
from statistics import NormalDist

MOVING_RANGE_FACTOR = 2.660  # limits of an individuals chart lie so many mean moving ranges from its mean
CONFIDENCE = 0.95
HELD_MM = 0.5  # a step foretold to within this held
TAIL = (1 - CONFIDENCE) / 2
NORMAL = NormalDist()
SERIES_END = 1e-15  # a term that adds less than this share ends its series
MOST_TERMS = 10_000
HALVINGS = 80


@dataclass(frozen=True)
class IndividualsChart:
    """`mean` of the values, None where there is none; the limits `low`, `high` and the mean `moving_range`, None
    for fewer than two; `out`: the indices of the values beyond the limits."""

    mean: float | None
    low: float | None
    high: float | None
    moving_range: float | None
    out: tuple[int, ...]


@dataclass(frozen=True)
class Share:
    """`count` of `total` steps exceed the tolerance, the share `observed`, by Wilson's interval between
    `wilson_low` and `wilson_high`; by how far all of them step, `expected` is the share, between `low` and
    `high`. None where there is no step."""

    observed: float | None
    count: int
    total: int
    wilson_low: float | None
    wilson_high: float | None
    expected: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Held:
    """How far `total` predictions held, of found less predicted: the `mean_error`, its standard deviation
    `spread` (None below two), and the share `within` HELD_MM."""

    total: int
    mean_error: float | None
    spread: float | None
    within: float | None


def individuals(values: Sequence[float]) -> IndividualsChart:
    """The chart of values in the order in which they came: limits 2.660 mean moving ranges about the mean."""
    if not values:
        return IndividualsChart(None, None, None, None, ())
    mean = fsum(values) / len(values)
    if len(values) < 2:
        return IndividualsChart(mean, None, None, None, ())
    ranges = [abs(after - before) for before, after in pairwise(values)]
    moving_range = fsum(ranges) / len(ranges)
    reach = MOVING_RANGE_FACTOR * moving_range
    out = tuple(at for at, value in enumerate(values) if abs(value - mean) > reach)
    return IndividualsChart(mean, mean - reach, mean + reach, moving_range, out)


def share_beyond(steps: Sequence[float], tolerance: float) -> Share:
    """The share of steps beyond a tolerance, mm; a step's sign does not matter.

    `expected` takes them for normal about 0, so that their sizes are half-normal: the share beyond is
    2 (1 - Phi(tolerance / sigma)) with sigma the root mean square, whose interval is that of a chi-square of as
    many degrees of freedom as there are steps. It tells of far fewer garments than the count does. Steps of one
    place, one a garment: several of one garment are no witnesses independent of one another.
    """
    total = len(steps)
    if total == 0:
        return Share(None, 0, 0, None, None, None, None, None)
    count = sum(abs(step) > tolerance for step in steps)
    wilson_low, wilson_high = wilson(count, total)
    squares = fsum(step * step for step in steps)
    return Share(
        observed=count / total,
        count=count,
        total=total,
        wilson_low=wilson_low,
        wilson_high=wilson_high,
        expected=_half_normal_beyond(tolerance, sqrt(squares / total)),
        low=_half_normal_beyond(tolerance, sqrt(squares / chi_square_quantile(1 - TAIL, total))),
        high=_half_normal_beyond(tolerance, sqrt(squares / chi_square_quantile(TAIL, total))),
    )


def held(predicted: Sequence[float], found: Sequence[float]) -> Held:
    """How far predictions held: `found` in the order of `predicted`, mm; as many of one as of the other, or
    ValueError."""
    errors = [now - before for before, now in zip(predicted, found, strict=True)]
    total = len(errors)
    if total == 0:
        return Held(0, None, None, None)
    mean = fsum(errors) / total
    spread = sqrt(fsum((error - mean) ** 2 for error in errors) / (total - 1)) if total > 1 else None
    return Held(total, mean, spread, sum(abs(error) <= HELD_MM for error in errors) / total)


def wilson(count: int, total: int) -> tuple[float, float]:
    """Wilson's interval of the share that `count` of `total` (at least 1) tell of."""
    z = NORMAL.inv_cdf(1 - TAIL)
    share, weight = count / total, z * z / total
    middle = (share + weight / 2) / (1 + weight)
    reach = z / (1 + weight) * sqrt(share * (1 - share) / total + weight / (4 * total))
    # At a count of none or all the interval begins or ends there, whatever the last digit says.
    return (0.0 if count == 0 else middle - reach), (1.0 if count == total else middle + reach)


def chi_square_quantile(share: float, freedom: int) -> float:
    """Below which a chi-square of `freedom` (at least 1) degrees lies with probability `share`, above 0 and
    below 1; found by halving the interval in which it must lie."""
    low, high = 0.0, float(freedom)
    while _chi_square_below(high, freedom) < share:
        low, high = high, 2 * high
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _chi_square_below(middle, freedom) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _half_normal_beyond(limit: float, sigma: float) -> float:
    return 0.0 if sigma == 0 else 2 * NORMAL.cdf(-limit / sigma)


def _chi_square_below(value: float, freedom: int) -> float:
    """The regularised lower incomplete gamma function of (freedom / 2, value / 2) by its power series, all of
    whose terms are positive."""
    shape, x = freedom / 2, value / 2
    if x == 0:
        return 0.0
    term = total = 1 / shape
    for at in range(1, MOST_TERMS):
        term *= x / (shape + at)
        total += term
        if term < total * SERIES_END:
            break
    return total * exp(shape * log(x) - x - lgamma(shape))
