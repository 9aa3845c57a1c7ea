"""At the needle: four readings -> how the design lies on a front, what step it makes at the seam, what to do.

The sums are DESIGN's plain rule. All mm; angles radians, counter-clockwise, unless a name says degrees. A design
that lies off is told by where it sits on the garment: `along` toward the collar, `across` to the viewer's right.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import atan, degrees
from typing import Literal, NamedTuple

from floor.domain.fronts import SIDES, ExpectedReadings, FrontPlan, SizePlan
from floor.domain.job import Front, Job

Verdict = Literal["sew", "nudge", "re-lay"]
Cause = Literal["", "step", "skew", "stretch", "edge"]

TOLERANCE_MM = 1.0  # a step up to this passes
CLOSED_TOLERANCE_MM = 1.5  # where no seam shows it, a design may lie this far off its drawn lines
MAX_SKEW_DEG = 1.0  # more shows as a kink even where nothing steps
MAX_STRETCH_MM = 1.5  # more: the span was measured wrong, or the cloth is stretched
MIN_PAST_EDGE_MM = 1.0  # where the sewing passes the folded edge, the needle must stay past it by this


class Readings(NamedTuple):
    """`u`, `l`: needle above the upper and below the lower button's centre (on a closed garment: drawn line);
    `a`, `b`: needle beyond the folded edge at the upper and the lower line (closed: right of the drawn centre
    line), + outward. mm."""

    u: float
    l: float  # noqa: E741 - the name of the reading, as everywhere in Floor
    a: float
    b: float


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
class StepSums:
    """One place where halves could be seen to step: the step is `along` and `across` times the shift of this
    front less the other's, plus `skew` times its skew, minus `other_skew` times the other's.

    `layer`: index of the layer whose edge crosses the seam at height `y`; None for the points on the window's
    lines that stand in where nothing crosses a seam.
    """

    layer: int | None
    y: float
    along: float
    across: float
    skew: float
    other_skew: float


@dataclass(frozen=True)
class OtherSums:
    """How four readings of the other front tell where its design lies. `expected`: on its place.

    `upper`, `lower`: the heights at which it is read, from the window's middle; `slant_upper`, `slant_lower`: how
    far the edge that u or l reads goes along for each mm that the design goes across, 0 for a level one;
    `lever`: from its folded edge to where u and l are read.
    """

    expected: Readings
    upper: float
    lower: float
    slant_upper: float = 0.0
    slant_lower: float = 0.0
    lever: float = 0.0


@dataclass(frozen=True)
class PlaceSums:
    """All that judging a front's place needs of its plan: linear, so that a tablet needs no geometry.

    `side`: the way x runs toward its folded edge, +1 right front, -1 left, 0 whole; `height`: between the
    window's lines; `expected`: the readings of this front on its place; `other`: what the other's tell.
    `mean_y`: the crossings' mean height from the window's middle; `lever`, `other_lever`: from each front's
    folded edge to the seam. `keep_past`: how far the needle must stay past the edge, None where it need not.
    `nudges`: whether the start can be moved for this front alone; under several heads it moves for all.
    """

    front: Front
    side: int
    height: float
    expected: Readings
    other: OtherSums
    steps: tuple[StepSums, ...]
    mean_y: float
    lever: float
    other_lever: float
    keep_past: float | None
    tolerance: float
    nudges: bool = True

    @property
    def across_sign(self) -> int:
        """+1 where a reading across grows with x: on the right front and on a closed garment."""
        return self.side or 1


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


def place_sums(
    job: Job,
    size: SizePlan,
    front: Front,
    tolerance: float = TOLERANCE_MM,
    nudges: bool = True,
    other_sums: OtherSums | None = None,
) -> PlaceSums:
    """The sums of one front of one size. `other_sums`: where the other front is read, None: at the window's
    lines, as at the needle. Where no edge crosses the seam, and on a garment without one, the
    design's own place is judged instead: along and across at both of the window's lines."""
    own = size.fronts[front]
    other = next((plan for plan in size.fronts.values() if plan is not own), own)
    y0, y1 = size.window
    middle = (y0 + y1) / 2
    x, pivot, other_pivot = _seam_x(job, size), _pivot(job, own), _pivot(job, other)
    crossings = size.seam.crossings if size.seam is not None else ()
    points: Sequence[tuple[int | None, float, tuple[float, float]]] = [
        (crossing.layer, crossing.y, crossing.normal) for crossing in crossings
    ] or [(None, y, normal) for y in (y0, y1) for normal in ((0.0, 1.0), (1.0, 0.0))]
    return PlaceSums(
        front=front,
        side=SIDES[front],
        height=y1 - y0,
        expected=_expected(size, front),
        other=other_sums or OtherSums(_expected(size, other.front), (y1 - y0) / 2, (y0 - y1) / 2),
        steps=tuple(
            StepSums(
                layer=layer,
                y=y,
                along=ny,
                across=nx,
                skew=ny * (x - pivot) - nx * (y - middle),
                other_skew=ny * (x - other_pivot) - nx * (y - middle),
            )
            for layer, y, (nx, ny) in points
        ),
        mean_y=sum(y for _, y, _ in points) / len(points) - middle,
        lever=x - pivot,
        other_lever=x - other_pivot,
        keep_past=min(MIN_PAST_EDGE_MM, own.reach) if own.reach is not None and own.reach > 0 else None,
        tolerance=tolerance,
        nudges=nudges,
    )


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


def other_lies_by(sums: PlaceSums, readings: Readings, angle: Callable[[float], float]) -> Placement:
    """How the other front's design lies by readings where it is read. `angle`: of a tangent."""
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


def _seam_x(job: Job, size: SizePlan) -> float:
    return size.seam.x if size.seam is not None else job.design.centre[0]


def _pivot(job: Job, plan: FrontPlan) -> float:
    """The x about which a front's skew is told: its folded edge, or the closed garment's drawn centre line."""
    return job.design.centre[0] if plan.edge_x is None else plan.edge_x


def _expected(size: SizePlan, front: Front) -> Readings:
    if size.opening is None:
        return Readings(0.0, 0.0, 0.0, 0.0)
    found: ExpectedReadings = size.expected_readings(front)
    return Readings(*found)
