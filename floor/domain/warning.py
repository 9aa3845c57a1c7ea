"""What a warning of the plan is, and how its sentences name places and lengths."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

from floor.domain.fronts import SAME_MM
from floor.domain.job import Front
from floor.domain.outline import Box

Code = Literal[
    "hoop-too-small", "button-under-stitching", "hole-under-stitching", "thin-part", "short-cover",
    "thin-reveal", "span-mismatch",
]  # fmt: skip


@dataclass(frozen=True)
class PlanWarning:
    """`size`, `front`: None where it holds for all of them. `layer`: the layer's index where it is about one.
    `places`: boxes to ring round in a picture, mm in the garment's frame."""

    code: Code
    size: str | None
    front: Front | None
    text: str
    layer: int | None = None
    places: tuple[Box, ...] = ()


def at_least(mm: float) -> str:
    """The length rounded up to what a tape can show, so that what is asked for does: "12.3 mm"."""
    return _tenths(ceil(10 * (mm - SAME_MM)))


def at_most(mm: float) -> str:
    """The length rounded down, so that what falls short does not read as if it were enough."""
    return _tenths(floor(10 * (mm + SAME_MM)))


def front_named(front: Front) -> str:
    """ "the right front"; of a garment without an opening "the design"."""
    return "the design" if front == "whole" else f"the {front} front"


def rounded(boxes: Iterable[Box]) -> tuple[Box, ...]:
    """The boxes to 0.01 mm: nothing that is drawn is finer, and equal places then are equal."""
    return tuple(
        (round(x0, 2) + 0.0, round(y0, 2) + 0.0, round(x1, 2) + 0.0, round(y1, 2) + 0.0)
        for x0, y0, x1, y1 in boxes
    )


def _tenths(tenths: int) -> str:
    return f"{tenths / 10:g} mm"
