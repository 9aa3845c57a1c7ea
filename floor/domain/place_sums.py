"""What judging a front's place needs of its plan: coefficients, linear in the readings, that travel with a run.

All mm in the garment's frame; angles radians, counter-clockwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from floor.domain.fronts import SIDES, FrontPlan, Readings, SizePlan
from floor.domain.job import Front, Job

TOLERANCE_MM = 1.0  # a step up to this passes
CLOSED_TOLERANCE_MM = 1.5  # where no seam shows it, a design may lie this far off its drawn lines
MIN_PAST_EDGE_MM = 1.0  # where the sewing passes the folded edge, the needle must stay past it by this


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


def _seam_x(job: Job, size: SizePlan) -> float:
    return size.seam.x if size.seam is not None else job.design.centre[0]


def _pivot(job: Job, plan: FrontPlan) -> float:
    """The x about which a front's skew is told: its folded edge, or the closed garment's drawn centre line."""
    return job.design.centre[0] if plan.edge_x is None else plan.edge_x


def _expected(size: SizePlan, front: Front) -> Readings:
    if size.opening is None:
        return Readings(0.0, 0.0, 0.0, 0.0)
    return size.expected_readings(front)
