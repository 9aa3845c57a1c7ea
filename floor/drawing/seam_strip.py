"""The seam as the tablet draws it: both halves of the design around it, as shapes that it can move by itself.

A run's page takes it along, so that an operator without a network still sees how the halves would meet.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any
from zlib import compress

import shapely

from floor.domain.plan import JobPlan
from floor.domain.region import as_multi
from floor.drawing.colours import GARMENT, tint
from floor.drawing.detail import TOLERANCES_MM, shape_data
from floor.drawing.half import DrawnPiece, Half, halves
from floor.drawing.parts import thread_tint
from floor.drawing.svg import Box

BESIDE_MM = 46.0  # of each half beside the seam
ABOVE_MM = 8.0  # and above and below what the needle traces
MOVED_MM = 24.0  # so far a half may be moved in the picture before its cut-off end shows
WIDER_MM = 80.0  # what a wide place on the page shows more of to either side
FINEST_LEVEL = 1  # of TOLERANCES_MM: the strip is a small picture
MOST_BYTES = 2_800  # of its paths as they travel, compressed
STRIPS_KEPT_IN_MEMORY = 64

# x, y of the upper left corner, width and height; or two ends. In the picture's frame: mm, y down.
Rect = tuple[float, float, float, float]


@dataclass(frozen=True)
class StripCloth:
    """One layer's cloth: `path` in mm, y down; `fill`; its border's colour `line` and `width`, mm."""

    path: str
    fill: str
    line: str
    width: float


@dataclass(frozen=True)
class StripHalf:
    """One front. `edge`: the x about which a skew of it turns: its folded edge, or the drawn centre line;
    `ground`: the garment beneath as far as it shows."""

    front: str
    edge: float
    ground: Rect
    cloths: tuple[StripCloth, ...]


@dataclass(frozen=True)
class SeamStrip:
    """`box`: what the strip shows; `seam`: its x, None where the garment does not open; `middle`: the y of the
    window's middle in the garment's own frame, y up; `lines`: seam, folded edges or drawn lines. The half on top
    comes last."""

    box: Rect
    seam: float | None
    middle: float
    garment: str
    lines: tuple[Rect, ...]
    halves: tuple[StripHalf, ...]

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


@lru_cache(maxsize=STRIPS_KEPT_IN_MEMORY)
def seam_strip(plan: JobPlan, size: str) -> SeamStrip:
    """The strip of one of the plan's sizes; KeyError where it has no such size. Where the garment does not open
    it is the whole design on its drawn lines."""
    for level in range(FINEST_LEVEL, len(TOLERANCES_MM)):
        strip = _strip(halves(plan, size, level))
        paths = "".join(cloth.path for half in strip.halves for cloth in half.cloths)
        if len(compress(paths.encode())) <= MOST_BYTES:
            break
    return strip


def _strip(found: tuple[Half, ...]) -> SeamStrip:
    low, high = found[0].plan.window
    if found[0].size.seam is None:
        x0, _, x1, _ = found[0].traced
        box = (x0 - ABOVE_MM, low - ABOVE_MM, x1 + ABOVE_MM, high + ABOVE_MM)
    else:
        seam = found[0].size.seam.x
        box = (seam - BESIDE_MM, low - ABOVE_MM, seam + BESIDE_MM, high + ABOVE_MM)
    return SeamStrip(
        box=_rect(box),
        seam=found[0].size.seam.x if found[0].size.seam is not None else None,
        middle=(low + high) / 2,
        garment=GARMENT,
        lines=_lines(found[0], box),
        halves=tuple(_half(half, box) for half in reversed(found)),
    )


def _half(half: Half, box: Box) -> StripHalf:
    x0, y0, x1, y1 = box[0] - WIDER_MM, box[1], box[2] + WIDER_MM, box[3]
    edge = half.job.design.centre[0] if half.edge_x is None else half.edge_x
    if half.side > 0:
        x1 = min(edge, x1)
    elif half.side < 0:
        x0 = max(edge, x0)
    return StripHalf(
        front=half.plan.front,
        edge=edge,
        ground=_rect((x0, y0, x1, y1)),
        cloths=tuple(cloth for piece in half.pieces if (cloth := _cloth(piece, box)) is not None),
    )


def _cloth(piece: DrawnPiece, box: Box) -> StripCloth | None:
    """What of a cloth the strip can ever show; None where that is nothing."""
    x0, y0, x1, y1 = box
    shown = shapely.box(x0 - WIDER_MM, y0 - MOVED_MM, x1 + WIDER_MM, y1 + MOVED_MM)
    shape = as_multi(piece.shape.intersection(shown))
    if shape.is_empty:
        return None
    return StripCloth(shape_data(shape), tint(piece.layer.colour), thread_tint(piece.layer), piece.width)


def _lines(half: Half, box: Box) -> tuple[Rect, ...]:
    """The seam; where there is none, the lines that a closed garment has drawn on it."""
    x0, y0, x1, y1 = box
    if half.size.seam is not None:
        x = half.size.seam.x
        return ((x, -y1, x, -y0),)
    (x, _), (low, high) = half.job.design.centre, half.plan.window
    return ((x, -y1, x, -y0), (x0, -high, x1, -high), (x0, -low, x1, -low))


def _rect(box: Box) -> Rect:
    x0, y0, x1, y1 = box
    return x0, -y1, x1 - x0, y1 - y0
