"""What the fields of the set-up form are called in a sentence, by their key."""

from __future__ import annotations

import re

_NAMES = (
    (r"title", "the title"),
    (r"customer", "the customer"),
    (r"due", "the due date"),
    (r"garments", "the garments"),
    (r"opening\.over_edge", "how far it is sewn past the folded edge"),
    (r"opening\.under_cover", "how far the under front is sewn beyond the seam"),
    (r"opening\.button_size", "the button's width"),
    (r"opening\.buttons", "the number of buttons"),
    (r"opening\.top_front", "the top front"),
    (r"opening\.sizes\.(.+)\.(span|overlap)", r"the \2 of size \1"),
    (r"opening\.(span|overlap)", r"the \1"),
    (r"design\.outline", "the outline"),
    (r"design\.height", "how tall it is sewn"),
    (r"design\.centre\.0", "how far the design sits to the right"),
    (r"design\.centre\.1", "how far the design sits above the middle"),
    (r"layer\.\d+\.(name|fabric|colour)", r"the \1"),
    (r"layer\.\d+\.offset", "how far the cloth goes beyond the outline"),
    (r"layer\.\d+\.placement_line", "the placement line"),
    (r"layer\.\d+\.tack", "the tack-down"),
    (r"layer\.\d+\.border\.(width|spacing)", r"the border's \1"),
    (r"layer\.\d+\.border\.thread", "the thread"),
    (r"layer\.\d+\.stitches\.placement", "the placement line's stitches"),
    (r"layer\.\d+\.stitches\.tack", "the tack-down's stitches"),
    (r"layer\.\d+\.stitches\.border", "the border's stitches"),
    (r"hoop\.field\.0", "the hoop's width"),
    (r"hoop\.field\.1", "the hoop's height"),
    (r"hoop\.clearance", "what is kept clear in the hoop"),
    (r"backing\.kind", "the kind of backing"),
    (r"backing\.sheets", "the number of sheets"),
    (r"machine\.speed", "the machine's speed"),
    (r"machine\.heads", "the number of heads"),
)


def field_name(key: str) -> str:
    """ "the span", "the overlap of size XL"; "" for what is no field of the form."""
    for pattern, name in _NAMES:
        found = re.fullmatch(pattern, key)
        if found:
            return found.expand(name)
    return ""
