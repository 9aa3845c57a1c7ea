"""A job as the data of a job file, from which it is read back equal."""

from __future__ import annotations

from floor.domain.job import Garment, Job, Layer, Opening
from floor.jobfile.writing import Data


def job_data(job: Job) -> Data:
    """The job as data, from which it is read back equal."""
    data: Data = {
        "title": job.title,
        "customer": job.customer,
        "due": job.due,
        "route": job.route,
        "design": {
            "outline": job.design.outline,
            "height": _mm(job.design.height),
            "centre": [_mm(length) for length in job.design.centre],
        },
        "layer": [_layer(layer) for layer in job.layers],
        "hoop": {"field": [_mm(length) for length in job.hoop.field], "clearance": _mm(job.hoop.clearance)},
        "backing": {"kind": job.backing.kind, "sheets": job.backing.sheets},
        "machine": {"speed": job.machine.speed, "heads": job.machine.heads},
        "garment": [_garment(garment) for garment in job.garments],
    }
    if job.opening is not None:
        data["opening"] = _opening(job.opening)
    return data


def _garment(garment: Garment) -> Data:
    data: Data = {"size": garment.size, "count": 1}
    return data | {"names": [garment.name]} if garment.name else data


def _opening(opening: Opening) -> Data:
    data: Data = {
        "span": _mm(opening.span),
        "overlap": _mm(opening.overlap),
        "over_edge": _mm(opening.over_edge),
        "button_size": _mm(opening.button_size),
        "buttons": opening.buttons,
        "top_front": opening.top_front,
    }
    if opening.under_cover is not None:
        data["under_cover"] = _mm(opening.under_cover)
    if opening.sizes:
        data["sizes"] = {
            size: {"span": _mm(own.span), "overlap": _mm(own.overlap)} for size, own in opening.sizes.items()
        }
    return data


def _layer(layer: Layer) -> Data:
    data: Data = {
        "name": layer.name,
        "fabric": layer.fabric,
        "colour": layer.colour,
        "offset": _mm(layer.offset),
        "placement_line": layer.placement_line,
        "tack": layer.tack,
        "border": {
            "width": _mm(layer.border.width),
            "spacing": _mm(layer.border.spacing),
            "thread": layer.border.thread,
        },
    }
    counts = {name: count for name, count in vars(layer.stitches).items() if count is not None}
    return data | {"stitches": counts} if counts else data


def _mm(length: float) -> str:
    """The shortest text that reads back to the same number: no exponent, which a length has not."""
    return f"{_plain(length)} mm"


def _plain(number: float) -> str:
    shortest = repr(number)
    if "e" not in shortest:
        return shortest.removesuffix(".0")
    return f"{number:.30f}".rstrip("0").rstrip(".")
