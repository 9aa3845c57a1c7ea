"""One front of one size, with the lengths that its picture needs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

from floor.domain.fronts import sewn_beyond_outline, window
from floor.domain.job import Front, Job, OpeningSize
from floor.domain.outline import Outline
from floor.domain.stitching import TACK_INSET_MM, taught_trim
from floor.drawing.edges import EdgeLine, edge_lines
from floor.drawing.shape import Limit, Ring, drawn_rings
from floor.drawing.svg import Box, Point

BLANK_MARGIN_MM = 10.0  # a blank is cut 20 mm larger than its layer, so this much shows on each side
LEAST_WIDTH_MM = 20.0  # a front that the design does not reach still has a place where it lies


@dataclass(frozen=True)
class Half:
    job: Job
    front: Front
    size: str
    rings: tuple[Ring, ...]

    @property
    def side(self) -> int:
        """The way that x runs from this front toward its folded edge: +1 right front, -1 left, 0 whole."""
        return {"right": 1, "left": -1, "whole": 0}[self.front]

    @cached_property
    def opening(self) -> OpeningSize | None:
        return self.job.opening.of(self.size) if self.job.opening else None

    @cached_property
    def edge_x(self) -> float | None:
        return self.side * self.opening.overlap / 2 if self.opening else None

    @cached_property
    def limit(self) -> Limit | None:
        """Where the sewing ends: its border's outer edge lies there, in closed form."""
        if self.job.opening is None or self.front == "whole" or self.edge_x is None:
            return None
        return Limit(self.edge_x + self.side * self.job.opening.reach(self.front, self.size), self.side)

    @property
    def is_top(self) -> bool:
        return self.job.opening is not None and self.front == self.job.opening.top_front

    @cached_property
    def window(self) -> tuple[float, float]:
        return window(self.job)

    @cached_property
    def extent(self) -> Box:
        """The box of all that is sewn on this front, as tall as the trace window of both."""
        y0, y1 = self.window
        x0, x1 = self.across(sewn_beyond_outline(self.job))
        return x0, y0, x1, y1

    def across(self, by: float, inset: float = 0.0) -> tuple[float, float]:
        """The least and the greatest x of the outline grown by `by`, kept `inset` within the limit."""
        xs = [x for ring in self.rings for x, _ in ring]
        x0, x1 = min(xs) - by, max(xs) + by
        if self.limit is None:
            return x0, x1
        end = self.limit.inset(inset).x
        if self.side > 0:
            return min(x0, end - LEAST_WIDTH_MM), min(x1, end)
        return max(x0, end), max(x1, end + LEAST_WIDTH_MM)

    def grown(self, layer: int, beyond: float) -> tuple[float, Limit | None]:
        """The growth and the limit of what reaches `beyond` mm past the cut edge of this layer's cloth.

        The cloth itself ends half its border's width within the limit, so the two move together.
        """
        one = self.job.layers[layer]
        limit = self.limit.inset(one.border.width / 2 - beyond) if self.limit else None
        return one.offset + beyond, limit

    def edge(self, layer: int, beyond: float) -> tuple[EdgeLine, ...]:
        by, limit = self.grown(layer, beyond)
        return edge_lines(self.rings, by, limit)

    def blank(self, layer: int) -> tuple[Point, ...]:
        """The rough-cut piece of cloth that is laid for this layer: by hand, so no corner is quite square."""
        one = self.job.layers[layer]
        x0, x1 = self.across(one.offset, one.border.width / 2)
        half = self.job.design.height / 2 + one.offset
        middle = self.job.design.centre[1]
        y0, y1 = middle - half, middle + half
        m = BLANK_MARGIN_MM
        return (
            (x0 - m, y0 - m - 1),
            (x0 - m - 1.5, y1 + m - 1),
            ((x0 + x1) / 2, y1 + m + 1),
            (x1 + m, y1 + m),
            (x1 + m + 1, (y0 + y1) / 2),
            (x1 + m - 1, y0 - m),
            ((x0 + 2 * x1) / 3, y0 - m - 1.5),
        )


def tack_beyond() -> float:
    """Where the tack-down runs, beyond the cut edge."""
    return -TACK_INSET_MM


def cut_beyond(border_width: float) -> float:
    """Where the scissors go, beyond the planned cut edge: the most that hands are taught to leave, so that the
    picture keeps the tack line and the cut apart."""
    return taught_trim(border_width)[1] - TACK_INSET_MM


def halves(job: Job, outline: Outline, size: str) -> tuple[Half, ...]:
    """The job's fronts in the order they are sewn, from the outline in whatever units."""
    rings = _rings(outline, job.design.height, job.design.centre)
    return tuple(Half(job, front, size, rings) for front in job.fronts)


@lru_cache(maxsize=16)
def _rings(outline: Outline, height: float, centre: tuple[float, float]) -> tuple[Ring, ...]:
    return drawn_rings(outline.scaled(height, centre))
