"""A plan as a program reads it: `floor plan --json`.

Lengths are mm rounded to 0.01, areas mm² to 0.1, layers go by their names in the job file. None is null: no
seam, no folded edge and no reach without an opening; no blank and no extent where nothing is sewn.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from floor.domain.fronts import FrontPlan, Seam, SizePlan
from floor.domain.job import Front, Job
from floor.domain.pieces import Piece
from floor.domain.plan import JobPlan
from floor.domain.stops import Stop

LENGTH_DECIMALS = 2
AREA_DECIMALS = 1
SECOND_DECIMALS = 1
NORMAL_DECIMALS = 5  # of a unit vector: half a micrometre over the largest step that is judged

Json = dict[str, Any]


def plan_json(plan: JobPlan, materials: Sequence[Mapping[str, object]], left_out: Iterable[str]) -> Json:
    """The whole plan. `stops` at the top are those of the job's first size; each size's fronts have their own.

    `materials`: each as its own `as_json` says it; `left_out`: the outline's sentences on what is no part of it.
    """
    first = next(iter(plan.sizes))
    return {
        "sizes": {size: _size(plan, found) for size, found in plan.sizes.items()},
        "stops": {front: _stops(plan, first, front) for front in plan.job.fronts},
        "materials": list(materials),
        "warnings": [
            {"code": warning.code, "size": warning.size, "front": warning.front, "text": warning.text}
            for warning in plan.warnings
        ],
        "left_out": list(left_out),
    }


def _size(plan: JobPlan, size: SizePlan) -> Json:
    return {
        "window_mm": _lengths(size.window),
        "seam": _seam(plan.job, size.seam),
        "cover_mm": _length(size.cover),
        "buttons_mm": [_lengths(centre) for centre in size.buttons],
        "fronts": {front: _front(plan, size.size, found) for front, found in size.fronts.items()},
    }


def _seam(job: Job, seam: Seam | None) -> Json | None:
    if seam is None:
        return None
    return {
        "x_mm": _length(seam.x),
        "crossings": [
            {
                "layer": job.layers[crossing.layer].name,
                "y_mm": _length(crossing.y),
                "normal": [_rounded(part, NORMAL_DECIMALS) for part in crossing.normal],
            }
            for crossing in seam.crossings
        ],
    }


def _front(plan: JobPlan, size: str, front: FrontPlan) -> Json:
    return {
        "edge_x_mm": _length(front.edge_x),
        "reach_mm": _length(front.reach),
        "extent_mm": _lengths(front.extent),
        "marks_needed": bool(front.marks),
        "marks_mm": [_lengths(mark) for mark in front.marks],
        "fits_hoop": front.fits_hoop,
        "layers": [_layer(plan, size, front.front, piece) for piece in front.pieces],
        "stops": _stops(plan, size, front.front),
    }


def _layer(plan: JobPlan, size: str, front: Front, piece: Piece) -> Json:
    return {
        "name": plan.job.layers[piece.layer].name,
        "area_mm2": _rounded(piece.area, AREA_DECIMALS),
        "cut_length_mm": _length(piece.cut_length),
        "corners": piece.corners,
        "holes": piece.holes,
        "blank_mm": _lengths(piece.blank),
        "stitches": {
            sews: stitches_at(plan.stop(size, front, sews, piece.layer))
            for sews in ("placement", "tack", "border")
        },
    }


def stitches_at(stop: Stop | None) -> int:
    """A line that is not sewn here, such as a placement line that the layer does without, has no stitches."""
    return stop.stitches if stop else 0


def _stops(plan: JobPlan, size: str, front: Front) -> list[Json]:
    return [
        {
            "no": stop.no,
            "sews": stop.sews,
            "layer": None if stop.layer is None else plan.job.layers[stop.layer].name,
            "thread": stop.thread,
            "stitches": stop.stitches,
            "length_mm": _length(stop.length),
            "at_speed_s": _rounded(stop.at_speed_s, SECOND_DECIMALS),
            "likely_s": _rounded(stop.likely_s, SECOND_DECIMALS),
            "before": stop.before,
        }
        for stop in plan.stops[size, front]
    ]


def _length(mm: float | None) -> float | None:
    return None if mm is None else _rounded(mm, LENGTH_DECIMALS)


def _lengths(mm: Sequence[float] | None) -> list[float] | None:
    return None if mm is None else [_rounded(one, LENGTH_DECIMALS) for one in mm]


def _rounded(number: float, decimals: int) -> float:
    return round(number, decimals) + 0.0  # no minus zero
