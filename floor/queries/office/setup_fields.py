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

NEEDED = (*ORDER, OUTLINE, *OPENING, GARMENTS)

WORDS = {
    "title": "the title", "customer": "the customer", "due": "the due date", OUTLINE: "the outline",
    "design.height": "how tall it is sewn", "opening.span": "the span", "opening.overlap": "the overlap",
    "opening.top_front": "the top front", "opening.over_edge": "how far it is sewn past the folded edge",
    "opening.buttons": "the number of buttons", "opening.button_size": "the button's width",
    GARMENTS: "the garments", "design.centre.0": "how far right of the middle it sits",
    "design.centre.1": "how far above the middle it sits", "hoop.field.0": "the hoop's width",
    "hoop.field.1": "the hoop's height", "hoop.clearance": "what is kept clear in the hoop",
    "backing.kind": "the kind of backing", "backing.sheets": "the sheets of backing",
    "machine.speed": "the machine's speed", "machine.heads": "the machine's heads",
}  # fmt: skip
LAYER_WORDS = {
    "name": "the name", "fabric": "the fabric", "colour": "the colour", "border.thread": "the thread",
    "offset": "the offset", "border.width": "the border's width", "border.spacing": "the border's spacing",
    "tack": "the tack-down", "placement_line": "the placement line",
}  # fmt: skip

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
    """Each fault at the field that can put it right, in the page's order; "" where the page has no field for it."""
    order = {key: place for place, key in enumerate(keys)}
    found = [(_field_of(path, keys), sentence) for path, sentence in faults]
    return sorted(found, key=lambda fault: order.get(fault[0], -1))


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
    return layer[2] in LAYER_NEEDED if layer else key in NEEDED


def field_words(key: str, form: Mapping[str, str]) -> str:
    """A field that must not stay empty, as a sentence names it: "the span", "the colour of Letters"; "" for one
    that may."""
    layer = _LAYER_KEY.fullmatch(key)
    if layer is None:
        return WORDS.get(key, "")
    name = form.get(layer_key(int(layer[1]), "name"), "").strip()
    what = LAYER_WORDS.get(layer[2], "")
    return what and f"{what} of {name or f'layer {int(layer[1]) + 1}'}"
