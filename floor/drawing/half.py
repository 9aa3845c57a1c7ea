"""One front of one size as it is drawn: the plan's pieces, and the lines that hands and needle follow on them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

from shapely import MultiPolygon, unary_union

from floor.domain.fronts import FrontPlan, SizePlan
from floor.domain.job import Job, Layer
from floor.domain.pieces import Piece
from floor.domain.plan import JobPlan
from floor.domain.region import as_multi
from floor.domain.stitching import TACK_INSET_MM, taught_trim
from floor.drawing.detail import beyond, drawn, shape_data
from floor.drawing.svg import Box

LEAST_WIDTH_MM = 20.0  # a front that the design does not reach still has a place where it lies
HALVES_KEPT_IN_MEMORY = 64


@dataclass(frozen=True, eq=False)
class DrawnPiece:
    """One layer's cloth on one front. `index`: the layer's; `shape`: the piece's cloth with the picture's
    points. Its lines are path data."""

    index: int
    layer: Layer
    piece: Piece
    shape: MultiPolygon
    level: int

    @property
    def width(self) -> float:
        """The border's, centred on the cloth's edge."""
        return self.piece.border_width

    @cached_property
    def edge(self) -> str:
        """Where the cloth is planned to end: the line that shows its place, and the middle of its border."""
        return shape_data(self.shape)

    @cached_property
    def tack(self) -> str:
        return shape_data(beyond(self.shape, -TACK_INSET_MM, self.level))

    @cached_property
    def cut(self) -> str:
        """Where the scissors go: the most that hands are taught to leave, so that the picture keeps the tack
        line and the cut apart."""
        return shape_data(beyond(self.shape, taught_trim(self.width)[1] - TACK_INSET_MM, self.level))

    @cached_property
    def blank(self) -> Box:
        """The rough-cut cloth, at its true size, its middle on the piece's."""
        assert self.piece.bounds is not None
        assert self.piece.blank is not None
        x0, y0, x1, y1 = self.piece.bounds
        (width, height), cx, cy = self.piece.blank, (x0 + x1) / 2, (y0 + y1) / 2
        return cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2


@dataclass(frozen=True, eq=False)
class Half:
    """`size`, `plan`: what the plan says of the size and of this front; `on_backing`: sewn without a garment."""

    job: Job
    size: SizePlan
    plan: FrontPlan
    level: int
    on_backing: bool

    @property
    def side(self) -> int:
        """The way that x runs from this front toward its folded edge: +1 right front, -1 left, 0 whole."""
        return self.plan.side

    @property
    def edge_x(self) -> float | None:
        return self.plan.edge_x

    @property
    def is_top(self) -> bool:
        return self.job.opening is not None and self.plan.front == self.job.opening.top_front

    @cached_property
    def pieces(self) -> tuple[DrawnPiece, ...]:
        """The layers that have cloth on this front, bottom layer first."""
        return tuple(
            DrawnPiece(piece.layer, self.job.layers[piece.layer], piece, drawn(piece, self.level), self.level)
            for piece in self.plan.sewn
        )

    def piece(self, layer: int | None) -> DrawnPiece | None:
        return next((piece for piece in self.pieces if piece.index == layer), None)

    @cached_property
    def traced(self) -> Box:
        """What the needle traces here: as wide as this front's sewing, as tall as that of both."""
        (y0, y1), extent = self.plan.window, self.plan.extent
        if extent is not None:
            return extent[0], y0, extent[2], y1
        end = self.plan.limit_x or 0.0
        inner = end - (self.side or 1) * LEAST_WIDTH_MM
        return min(end, inner), y0, max(end, inner), y1

    def around_all(self, by: float) -> str:
        """The line `by` mm outside all that is sewn here."""
        sewn = [piece.shape.buffer(piece.width / 2) for piece in self.pieces]
        return shape_data(beyond(as_multi(unary_union(sewn)), by, self.level))


@lru_cache(maxsize=HALVES_KEPT_IN_MEMORY)
def halves(plan: JobPlan, size: str, level: int) -> tuple[Half, ...]:
    """The fronts of one size, the top front first. KeyError where the plan has no such size."""
    found = plan.sizes[size]
    return tuple(
        Half(plan.job, found, found.fronts[front], level, plan.on_backing) for front in plan.job.fronts
    )
