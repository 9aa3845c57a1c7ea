"""A job's data -> the text of a job file, and back; and a job as such data.

The data are nested dictionaries with the keys of the file, in any order: lengths as texts with their unit, the
due date as a date, whole numbers and flags as what they are.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import tomli_w

from floor.domain.garment_list import GarmentEntry, entries_of
from floor.domain.job import Job, Layer, Opening

Data = dict[str, Any]

# As DESIGN has a job file: what stands first is read first.
ORDER = (
    "title", "customer", "due", "route", "opening", "design", "layer", "hoop", "backing", "machine", "garment",
    "span", "overlap", "over_edge", "under_cover", "button_size", "buttons", "top_front", "sizes",
    "outline", "height", "centre", "name", "fabric", "colour", "offset", "placement_line", "tack", "border",
    "width", "spacing", "thread", "stitches", "placement", "field", "clearance", "kind", "sheets", "speed",
    "heads", "size", "count", "names",
)  # fmt: skip


def write_job_text(data: Mapping[str, Any]) -> str:
    """The job file of the data. What the data lack is left out; `read_job` says so."""
    return tomli_w.dumps(_ordered(data))


def data_of(toml_text: str) -> Data:
    """The data of a job file's text that was read before. TOMLDecodeError for any other."""
    return tomllib.loads(toml_text)


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
        "garment": [entry_data(entry) for entry in entries_of(job.garments)],
    }
    if job.opening is not None:
        data["opening"] = _opening(job.opening)
    return data


def entry_data(entry: GarmentEntry) -> Data:
    data: Data = {"size": entry.size, "count": entry.count}
    return data | {"names": list(entry.names)} if entry.names else data


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


def _ordered(value: Any) -> Any:
    if isinstance(value, Mapping):
        known = [key for key in ORDER if key in value]
        return {key: _ordered(value[key]) for key in [*known, *(key for key in value if key not in known)]}
    if isinstance(value, list):
        return [_ordered(entry) for entry in value]
    return value
