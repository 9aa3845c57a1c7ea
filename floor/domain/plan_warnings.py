"""What the plan warns of, each with a code that a program can go by and a sentence for a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shapely import MultiPolygon

from floor.domain.fronts import SizePlan
from floor.domain.job import Front, Job
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


def warnings_of(
    job: Job, cloths: tuple[MultiPolygon, ...], sizes: Mapping[str, SizePlan]
) -> tuple[PlanWarning, ...]:
    return ()
