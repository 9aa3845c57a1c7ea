"""What is folded away, in a line each: the values as they were typed."""

from __future__ import annotations

import re
from collections.abc import Mapping

from floor.domain.english import listed
from floor.queries.office.setup_fields import layer_key

EMPTY = "not filled in"
TACKS = {"run": "one run", "double run": "a double run", "zigzag": "a zigzag"}


def summaries(form: Mapping[str, str], layers: int) -> dict[str, str]:
    """A line for each fold, by its name."""

    def value(key: str) -> str:
        return form.get(key, "").strip() or EMPTY

    found = {
        "place": _place(form),
        "edges": _edges(form),
        "hoop": f"{value('hoop.field.0')} × {value('hoop.field.1')}, {value('hoop.clearance')} kept clear",
        "backing": f"{value('backing.kind')}, {value('backing.sheets')} a hooping",
        "machine": f"{value('machine.speed')} stitches a minute, heads: {value('machine.heads')}",
    }
    for index in range(layers):
        found[f"layer-{index}"] = _layer({key: value(layer_key(index, key)) for key in _LAYER})
    return found


_LAYER = (
    "border.thread",
    "offset",
    "border.width",
    "tack",
    "placement_line",
    "stitches.placement",
    "stitches.tack",
    "stitches.border",
)


def _layer(value: Mapping[str, str]) -> str:
    tack = TACKS.get(value["tack"], value["tack"])
    line = "" if value["placement_line"] == "true" else "no "
    measured = [key.partition(".")[2] for key in _LAYER[5:] if value[key] != EMPTY]
    thread = "the cloth's colour" if value["border.thread"] == EMPTY else value["border.thread"]
    size = f"thread {thread}, {value['offset']} beyond the outline, border {value['border.width']}"
    words = f"{size}, tacked with {tack}, {line}placement line"
    return f"{words}; measured: {listed(measured)}" if measured else words


def _place(form: Mapping[str, str]) -> str:
    across, up = (form.get(f"design.centre.{i}", "").strip() for i in (0, 1))
    moved = [f"{across} to the viewer's right"] * (not _nothing(across)) + [f"{up} up"] * (not _nothing(up))
    return listed(moved) if moved else "in the middle"


def _nothing(text: str) -> bool:
    return re.fullmatch(r"0?\s*(mm|cm|in)?", text) is not None


def _edges(form: Mapping[str, str]) -> str:
    value = {
        key: form.get(f"opening.{key}", "").strip()
        for key in ("over_edge", "under_cover", "buttons", "button_size")
    }
    words = [f"sewn {value['over_edge'] or EMPTY} past the folded edge"]
    if value["under_cover"]:
        words.append(f"the under front {value['under_cover']} beyond the seam")
    words.append(f"{value['buttons'] or EMPTY} buttons, {value['button_size'] or EMPTY} wide")
    return ", ".join(words)
