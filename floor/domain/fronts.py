"""The split: what of the design is sewn on which front, where it crosses the seam, what the needle traces.

All mm in the garment's frame (DEVELOPERS.md, "Words and frames").
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from shapely import MultiPolygon, box

from floor.domain.growing import grown
from floor.domain.job import Front, Job, OpeningSize
from floor.domain.outline import Box
from floor.domain.pieces import Piece, union_box
from floor.domain.points import Point
from floor.domain.region import as_multi
from floor.domain.seam import Crossing, crossings_of

FAR_MM = 100_000.0  # beyond anything that is sewn
ROUND_SEGMENTS = 16  # chords in a quarter of a round join: 0.012 mm off at 10 mm
SAME_MM = 1e-6
SIDES: Mapping[Front, int] = {"right": 1, "left": -1, "whole": 0}


class NoOpening(ValueError):
    """Something of an opening was asked of a job whose garment has none."""


class Readings(NamedTuple):
    """The four readings of a front, mm: `u`, `l` along the opening, needle above the upper and below the lower
    button's centre; `a`, `b` needle beyond the folded edge at the upper and the lower line, + outward. On a garment
    that does not open: above the top and below the bottom drawn line, and right of the drawn centre line."""

    u: float
    l: float  # noqa: E741 - the name of the reading, as everywhere in Floor
    a: float
    b: float


@dataclass(frozen=True)
class FrontPlan:
    """One front of one size. `side`: the way x runs toward its folded edge, +1 right front, -1 left, 0 whole.

    `edge_x`: its folded edge; `reach`: how far beyond it the sewing ends, + outward; both None where the
    garment does not open. `extent`: the box of all that is sewn here, None where nothing is. `window`: y of
    the lower and the upper line that the needle traces, the same on both fronts. `marks`: the points that
    show the window's lower and upper line where this front's own sewing does not reach them; none needed: ().
    """

    front: Front
    edge_x: float | None
    reach: float | None
    pieces: tuple[Piece, ...]
    extent: Box | None
    window: tuple[float, float]
    marks: tuple[Point, ...]
    fits_hoop: bool

    @property
    def side(self) -> int:
        return SIDES[self.front]

    @property
    def limit_x(self) -> float | None:
        """Where the sewing ends, border included."""
        if self.edge_x is None or self.reach is None:
            return None
        return self.edge_x + self.side * self.reach

    @property
    def sewn(self) -> tuple[Piece, ...]:
        """The pieces that have any cloth on this front."""
        return tuple(piece for piece in self.pieces if not piece.empty)


@dataclass(frozen=True)
class Seam:
    """Where the halves meet: the top front's folded edge, and the points at which each layer's cloth
    crosses it."""

    x: float
    crossings: tuple[Crossing, ...]


@dataclass(frozen=True)
class SizePlan:
    """One size of the job. `opening`, `seam`: None where the garment does not open. `cover`: how far the
    under front's sewing reaches beyond the seam, None without an opening. `buttons`: centres, highest first."""

    size: str
    opening: OpeningSize | None
    window: tuple[float, float]
    seam: Seam | None
    cover: float | None
    buttons: tuple[Point, ...]
    fronts: Mapping[Front, FrontPlan]

    def expected_readings(self, front: Front) -> Readings:
        """What u, l, a and b read on `front` of a garment of this size when it lies exactly right, mm.

        The buttons of the span are at y = +-span/2, the window's lines at y1 and y0. NoOpening for a garment
        that does not open.
        """
        reach = self.fronts[front].reach if front in self.fronts else None
        if self.opening is None or reach is None:
            raise NoOpening("A garment without an opening has no buttons and no folded edge to read against.")
        y0, y1 = self.window
        half_span = self.opening.span / 2
        return Readings(u=y1 - half_span, l=-y0 - half_span, a=reach, b=reach)


def cloths_of(job: Job, region: MultiPolygon) -> tuple[MultiPolygon, ...]:
    """Each layer's whole cloth: the region grown by the layer's offset with round joins (below 0: shrunk)."""
    # An offset too small to be one would be lost in rounding, and the cloth with it.
    offsets = [0.0 if abs(layer.offset) < SAME_MM else layer.offset for layer in job.layers]
    cloths: dict[float, MultiPolygon] = {0.0: region}
    for offset in offsets:
        if offset not in cloths:
            cloths[offset] = grown(region, offset, ROUND_SEGMENTS)
    return tuple(cloths[offset] for offset in offsets)


def split(job: Job, cloths: tuple[MultiPolygon, ...], sizes: tuple[str, ...]) -> dict[str, SizePlan]:
    """The plan of each size. `cloths`: each layer's whole cloth, as `cloths_of` gives it."""
    kept: dict[tuple[int, Front, float], Piece] = {}
    return {size: _size(job, cloths, size, kept) for size in sizes}


def extent_on(job: Job, cloths: tuple[MultiPolygon, ...], front: Front, size: str) -> Box | None:
    """The box of all that is sewn on this front, None where nothing is, without the rest of the plan."""
    return union_box(piece.sewn_bounds for piece in _pieces(job, cloths, front, size, {}))


def _size(
    job: Job, cloths: tuple[MultiPolygon, ...], size: str, kept: dict[tuple[int, Front, float], Piece]
) -> SizePlan:
    pieces = {front: _pieces(job, cloths, front, size, kept) for front in job.fronts}
    extents = {front: union_box(piece.sewn_bounds for piece in found) for front, found in pieces.items()}
    whole = union_box(iter(extents.values()))
    window = (whole[1], whole[3]) if whole else (0.0, 0.0)
    fronts = {front: _front(job, front, size, pieces[front], extents[front], window) for front in job.fronts}
    if job.opening is None:
        return SizePlan(size, None, window, None, None, (), fronts)
    own = job.opening.of(size)
    top = fronts[job.opening.top_front]
    under = next(plan for plan in fronts.values() if plan is not top)
    assert top.edge_x is not None
    assert under.reach is not None
    return SizePlan(
        size=size,
        opening=own,
        window=window,
        seam=Seam(top.edge_x, crossings_of(cloths, top.edge_x)),
        cover=own.overlap + under.reach,
        buttons=_buttons(job.opening.buttons, own.span),
        fronts=fronts,
    )


def _pieces(
    job: Job,
    cloths: tuple[MultiPolygon, ...],
    front: Front,
    size: str,
    kept: dict[tuple[int, Front, float], Piece],
) -> tuple[Piece, ...]:
    """Each layer's cloth kept to where its border still ends at the front's limit."""
    found = []
    for index, (layer, cloth) in enumerate(zip(job.layers, cloths, strict=True)):
        width = layer.border.width
        end = 0.0
        if job.opening is not None and front != "whole":
            end = job.opening.of(size).overlap / 2 + job.opening.reach(front, size) - width / 2
        key = (index, front, end)
        if key not in kept:
            kept[key] = Piece(index, _kept_to(cloth, front, end), width)
        found.append(kept[key])
    return tuple(found)


def _kept_to(cloth: MultiPolygon, front: Front, end: float) -> MultiPolygon:
    """The right front keeps x <= end, the left one x >= -end."""
    if front == "whole":
        return cloth
    half = box(-FAR_MM, -FAR_MM, end, FAR_MM) if front == "right" else box(-end, -FAR_MM, FAR_MM, FAR_MM)
    return as_multi(cloth.intersection(half))


def _front(
    job: Job,
    front: Front,
    size: str,
    pieces: tuple[Piece, ...],
    extent: Box | None,
    window: tuple[float, float],
) -> FrontPlan:
    edge_x = reach = None
    if job.opening is not None and front != "whole":
        edge_x, reach = SIDES[front] * job.opening.of(size).overlap / 2, job.opening.reach(front, size)
    return FrontPlan(
        front=front,
        edge_x=edge_x,
        reach=reach,
        pieces=pieces,
        extent=extent,
        window=window,
        marks=_marks(extent, window),
        fits_hoop=extent is None or fits(extent, job.hoop.field, job.hoop.clearance),
    )


def _marks(extent: Box | None, window: tuple[float, float]) -> tuple[Point, ...]:
    """Two points at the window's bottom and top, at the middle of the extent, where it is shorter."""
    if extent is None:
        return ()
    x0, y0, x1, y1 = extent
    if y0 <= window[0] + SAME_MM and y1 >= window[1] - SAME_MM:
        return ()
    middle = (x0 + x1) / 2
    return (middle, window[0]), (middle, window[1])


def fits(extent: Box, field: tuple[float, float], clearance: float) -> bool:
    """Whether the extent with `clearance` all round lies within a hoop's field (width, height), all mm."""
    x0, y0, x1, y1 = extent
    return x1 - x0 + 2 * clearance <= field[0] + SAME_MM and y1 - y0 + 2 * clearance <= field[1] + SAME_MM


def _buttons(count: int, span: float) -> tuple[Point, ...]:
    """Centres on the opening's centre line, evenly over the span, both ends counted, highest first."""
    return tuple((0.0, span / 2 - i * span / (count - 1)) for i in range(count))
