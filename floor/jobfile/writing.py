"""A job's data -> the text of a job file, and back; and a job as such data.

The data are nested dictionaries with the keys of the file, in any order: lengths as texts with their unit, the
due date as a date, whole numbers and flags as what they are.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import tomli_w

from floor.domain.garment_list import GarmentEntry

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


def entry_data(entry: GarmentEntry) -> Data:
    data: Data = {"size": entry.size, "count": entry.count}
    return data | {"names": list(entry.names)} if entry.names else data


def _ordered(value: Any) -> Any:
    if isinstance(value, Mapping):
        known = [key for key in ORDER if key in value]
        return {key: _ordered(value[key]) for key in [*known, *(key for key in value if key not in known)]}
    if isinstance(value, list):
        return [_ordered(entry) for entry in value]
    return value
