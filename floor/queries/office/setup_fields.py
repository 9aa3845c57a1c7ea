"""The fields of the set-up page, where each fault stands among them, and what is still to be filled in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from floor.jobfile.form_layers import layer_count
from floor.queries.field_names import field_name

OUTLINE = "design.outline"
GARMENTS = "garments"

ORDER = ("title", "customer", "due")
OPENING = ("opening.span", "opening.overlap", "opening.top_front")
PLACE = ("design.centre.0", "design.centre.1")
EDGES = ("opening.over_edge", "opening.under_cover", "opening.buttons", "opening.button_size")
HOOP = ("hoop.field.0", "hoop.field.1", "hoop.clearance")
BACKING = ("backing.kind", "backing.sheets")
MACHINE = ("machine.speed", "machine.heads")
LAYER_NEEDED = ("name", "fabric", "colour")
LAYER_USUAL = (
    "border.thread", "offset", "border.width", "border.spacing", "tack", "placement_line",
    "stitches.placement", "stitches.tack", "stitches.border",
)  # fmt: skip

NEEDED = (*ORDER, OUTLINE, *OPENING, GARMENTS)

_LAYER_KEY = re.compile(r"layer\.(\d+)\.(.+)")
_NOT_IN_AN_ID = re.compile(r"[^A-Za-z0-9-]")


def field_id(key: str) -> str:
    """The field's id in the page: the same key gives the same, another key another."""
    return "f-" + _NOT_IN_AN_ID.sub(lambda found: f"_{ord(found[0]):x}_", key)


def size_key(size: str, what: str) -> str:
    return f"opening.sizes.{size}.{what}"


def layer_key(index: int, what: str) -> str:
    return f"layer.{index}.{what}"


def page_keys(form: Mapping[str, str], sizes: Sequence[str], opens: bool) -> tuple[str, ...]:
    """Every field of the page in its order. `sizes`: those that have a row of their own."""
    keys = [*ORDER, OUTLINE, "design.height"]
    if opens:
        keys += [*OPENING, *(size_key(size, what) for size in sizes for what in ("span", "overlap"))]
    for index in range(layer_count(form)):
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
    """The field as a sentence names it: "the span", "the colour of Letters"."""
    layer, words = _LAYER_KEY.fullmatch(key), field_name(key)
    if layer is None:
        return words
    name = form.get(layer_key(int(layer[1]), "name"), "").strip()
    return f"{words} of {name or f'layer {int(layer[1]) + 1}'}"
