"""The fields of the set-up page, where each fault stands among them, and what is still to be filled in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

OUTLINE = "design.outline"
GARMENTS = "garments"

ORDER = ("title", "customer", "due")
OPENING = ("opening.span", "opening.overlap", "opening.top_front")
PLACE = ("design.centre.0", "design.centre.1")
EDGES = ("opening.over_edge", "opening.under_cover", "opening.buttons", "opening.button_size")
HOOP = ("hoop.field.0", "hoop.field.1", "hoop.clearance")
BACKING = ("backing.kind", "backing.sheets")
MACHINE = ("machine.speed", "machine.heads")
LAYER_NEEDED = ("name", "fabric", "colour", "border.thread")
LAYER_USUAL = (
    "offset", "border.width", "border.spacing", "tack", "placement_line",
    "stitches.placement", "stitches.tack", "stitches.border",
)  # fmt: skip

NEEDED_WORDS = {
    "title": "the title", "customer": "the customer", "due": "the due date", OUTLINE: "the outline",
    "opening.span": "the span", "opening.overlap": "the overlap", "opening.top_front": "the top front",
    GARMENTS: "the garments",
}  # fmt: skip
LAYER_WORDS = {"name": "name", "fabric": "fabric", "colour": "colour", "border.thread": "thread"}

_LAYER_KEY = re.compile(r"layer\.(\d+)\.(.+)")
_NOT_IN_AN_ID = re.compile(r"[^A-Za-z0-9-]")


def field_id(key: str) -> str:
    """The field's id in the page: the same key gives the same, another key another."""
    return "f-" + _NOT_IN_AN_ID.sub(lambda found: f"_{ord(found[0]):x}_", key)


def size_key(size: str, what: str) -> str:
    return f"opening.sizes.{size}.{what}"


def layer_key(index: int, what: str) -> str:
    return f"layer.{index}.{what}"


def layers_of(form: Mapping[str, str]) -> int:
    """How many layers the form has: they are numbered from 0 without gaps."""
    numbers = [int(found[1]) for found in map(_LAYER_KEY.fullmatch, form) if found]
    return max(numbers, default=-1) + 1


def page_keys(form: Mapping[str, str], sizes: Sequence[str], opens: bool) -> tuple[str, ...]:
    """Every field of the page in its order. `sizes`: those that have a row of their own."""
    keys = [*ORDER, OUTLINE, "design.height"]
    if opens:
        keys += [*OPENING, *(size_key(size, what) for size in sizes for what in ("span", "overlap"))]
    for index in range(layers_of(form)):
        keys += [layer_key(index, what) for what in (*LAYER_NEEDED, *LAYER_USUAL)]
    keys += [GARMENTS, *PLACE, *(EDGES if opens else ()), *HOOP, *BACKING, *MACHINE]
    return tuple(keys)


def placed(faults: Iterable[tuple[str, str]], keys: Sequence[str]) -> list[tuple[str, str]]:
    """Each fault at the field that can put it right; "" where the page has no field for it."""
    return [(_field_of(path, keys), sentence) for path, sentence in faults]


def _field_of(path: str, keys: Sequence[str]) -> str:
    if path.partition(".")[0] in ("garment", GARMENTS):
        return GARMENTS
    while path:
        inside = (key for key in keys if key == path or key.startswith(f"{path}."))
        found = next(inside, None)
        if found:
            return found
        path = path.rpartition(".")[0]
        if path in ("layer", "opening.sizes"):  # the first layer is not to blame for what all of them lack
            return ""
    return ""


def is_needed(key: str) -> bool:
    layer = _LAYER_KEY.fullmatch(key)
    return layer[2] in LAYER_WORDS if layer else key in NEEDED_WORDS


def needed_words(key: str, form: Mapping[str, str]) -> str:
    """ "the span", "the colour of Letters"."""
    layer = _LAYER_KEY.fullmatch(key)
    if layer is None:
        return NEEDED_WORDS[key]
    name = form.get(layer_key(int(layer[1]), "name"), "").strip()
    return f"the {LAYER_WORDS[layer[2]]} of {name or f'layer {int(layer[1]) + 1}'}"
