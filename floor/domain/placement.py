"""At the needle: four readings -> how the design lies on a front, what step it makes at the seam, what to do.

The sums are DESIGN's plain rule. All mm; angles radians, counter-clockwise, unless a name says degrees. A design
that lies off is told by where it sits on the garment: `along` toward the collar, `across` to the viewer's right.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import atan, degrees
from typing import Literal

from floor.domain.fronts import Readings
from floor.domain.place_sums import PlaceSums

Verdict = Literal["sew", "nudge", "re-lay"]
Cause = Literal["", "step", "skew", "stretch", "edge"]
MAX_SKEW_DEG = 1.0  # more shows as a kink even where nothing steps
MAX_STRETCH_MM = 1.5  # more: the span was measured wrong, or the cloth is stretched


@dataclass(frozen=True)
class Placement:
    """Where a design sits on a front, from its own: at the folded edge (closed: the drawn centre line), midway
    between the window's lines. `stretch`: how much closer together than planned the buttons lie."""

    along: float
    across: float
    skew: float
    stretch: float


ON_ITS_PLACE = Placement(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Judgement:
    """What the plain rule says. `steps`: signed, as `PlaceSums.steps`; `nudge`: (along, across), the shift of
    the start point that makes the mean displacement against the other front zero; `after_nudge`: the worst step
    then; `skew`: against the other front, degrees; `cause`: why it does not lie well, "" where it does."""

    placement: Placement
    steps: tuple[float, ...]
    worst: float
    nudge: tuple[float, float]
    after_nudge: float
    skew_deg: float
    verdict: Verdict
    cause: Cause


def own_placement(sums: PlaceSums, readings: Readings) -> Placement:
    """How this front lies by its readings."""
    lies = lies_by(sums.expected, sums.across_sign, sums.height, readings)
    return replace(lies, skew=atan(lies.skew))


def other_placement(sums: PlaceSums, readings: Readings) -> Placement:
    """How the other front was sewn by the readings taken on it."""
    return other_lies_by(sums, readings, atan)


def lies_by(expected: Readings, sign: int, height: float, readings: Readings) -> Placement:
    """How a design lies by readings at the window's lines, with the tangent of the skew for its angle. `sign`: +1
    where readings across grow with x, -1 on the left front."""
    upper, lower = readings.u - expected.u, readings.l - expected.l
    beyond_a, beyond_b = readings.a - expected.a, readings.b - expected.b
    return Placement(
        along=(upper - lower) / 2,
        across=sign * (beyond_a + beyond_b) / 2,
        skew=-sign * (beyond_a - beyond_b) / height,
        stretch=upper + lower,
    )


def other_lies_by(sums: PlaceSums, readings: Readings, angle: Callable[[float], float] = float) -> Placement:
    """How the other front's design lies by readings where it is read. `angle`: of a tangent;
    as it stands, the tangent itself."""
    other = sums.other
    seen = lies_by(other.expected, -sums.across_sign, other.upper - other.lower, readings)
    skew = angle(seen.skew)
    across = seen.across + skew * (other.upper + other.lower) / 2
    # What a slanting edge tells of the height is taken off where it comes from the shift across.
    by_upper = other.slant_upper * (across - skew * other.upper)
    by_lower = other.slant_lower * (across - skew * other.lower)
    return Placement(
        along=seen.along - (by_upper + by_lower) / 2 - skew * other.lever,
        across=across,
        skew=skew,
        stretch=seen.stretch - by_upper + by_lower,
    )


def judge(sums: PlaceSums, readings: Readings, against: Readings | None = None) -> Judgement:
    """The plain rule. `against`: the other front's readings as it was sewn; None judges against its plan."""
    own = own_placement(sums, readings)
    other = ON_ITS_PLACE if against is None else other_placement(sums, against)
    steps = steps_between(sums, own, other)
    nudge = nudge_to_mean(sums, own, other)
    after = max(map(abs, nudged(sums, steps, nudge)))
    worst = max(map(abs, steps))
    skew = degrees(own.skew - other.skew)
    verdict, cause = _verdict(sums, readings, own.stretch, skew, worst, after, nudge)
    return Judgement(own, steps, worst, nudge, after, skew, verdict, cause)


def steps_between(sums: PlaceSums, own: Placement, other: Placement) -> tuple[float, ...]:
    """The visible step at each point of `sums.steps`, + where this front's edge lies further along the edge's
    outward normal than the other's."""
    along, across = own.along - other.along, own.across - other.across
    return tuple(
        step.along * along + step.across * across + step.skew * own.skew - step.other_skew * other.skew
        for step in sums.steps
    )


def nudge_to_mean(sums: PlaceSums, own: Placement, other: Placement) -> tuple[float, float]:
    """The shift (along, across) of the start point that makes the mean displacement against the other zero:
    along at the seam, across at the crossings' mean height."""
    along = own.along + own.skew * sums.lever - other.along - other.skew * sums.other_lever
    across = own.across - other.across - (own.skew - other.skew) * sums.mean_y
    return -along, -across


def nudged(sums: PlaceSums, steps: Sequence[float], nudge: tuple[float, float]) -> tuple[float, ...]:
    """The steps once the start point has moved by `nudge`."""
    along, across = nudge
    return tuple(
        value + step.along * along + step.across * across
        for value, step in zip(steps, sums.steps, strict=True)
    )


def past_edge(sums: PlaceSums, readings: Readings, across: float) -> float:
    """How far the needle passes the folded edge at the line where it passes least, once moved by `across`."""
    return min(readings.a, readings.b) + sums.across_sign * across


def _verdict(
    sums: PlaceSums,
    readings: Readings,
    stretch: float,
    skew_deg: float,
    worst: float,
    after: float,
    nudge: tuple[float, float],
) -> tuple[Verdict, Cause]:
    if abs(stretch) > MAX_STRETCH_MM:
        return "re-lay", "stretch"
    if abs(skew_deg) > MAX_SKEW_DEG:
        return "re-lay", "skew"
    stays = sums.keep_past is None or past_edge(sums, readings, 0.0) >= sums.keep_past
    if worst <= sums.tolerance and stays:
        return "sew", ""
    if after > sums.tolerance:
        return "re-lay", "skew"  # a shift is cured by the nudge; what is left is skew
    if sums.keep_past is not None and past_edge(sums, readings, nudge[1]) < sums.keep_past:
        return "re-lay", "edge"
    return "nudge", "step" if worst > sums.tolerance else "edge"
