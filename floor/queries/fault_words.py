"""A fault of a job file in the words of the form that it was typed in."""

from __future__ import annotations

import re

# What the file's keys are called on the page. Each stands for the whole label, up to what is wrong.
_NAMES = (
    (r"opening\.over_edge", "how far it is sewn past the folded edge"),
    (r"opening\.under_cover", "how far the under front is sewn beyond the seam"),
    (r"opening\.button_size", "the button's width"),
    (r"opening\.buttons", "the number of buttons"),
    (r"opening\.top_front", "the top front"),
    (r"opening\.sizes\.(.+)\.(span|overlap)", r"the \2 of size \1"),
    (r"opening\.(span|overlap)", r"the \1"),
    (r"design\.height", "the design's height"),
    (r"design\.centre\.0", "how far the design sits to the right"),
    (r"design\.centre\.1", "how far the design sits above the middle"),
    (r"layer\.\d+\.offset", "how far the cloth goes beyond the outline"),
    (r"layer\.\d+\.border\.width", "the border's width"),
    (r"layer\.\d+\.border\.spacing", "the border's spacing"),
    (r"layer\.\d+\.border\.thread", "the thread"),
    (r"layer\.\d+\.stitches\.placement", "the placement line's stitches"),
    (r"layer\.\d+\.stitches\.tack", "the tack-down's stitches"),
    (r"layer\.\d+\.stitches\.border", "the border's stitches"),
    (r"hoop\.field\.0", "the field's width"),
    (r"hoop\.field\.1", "the field's height"),
    (r"hoop\.clearance", "what is kept clear"),
    (r"backing\.sheets", "the number of sheets"),
    (r"machine\.speed", "the machine's speed"),
    (r"machine\.heads", "the number of heads"),
)
_LABEL = re.compile(
    r"^the .+? of .+?(?= cannot be read: | is \"| is [-\d.]+;|, \"| is empty| has \d+ characters)"
)
_SIZES_OWN = re.compile(r"\[opening\.sizes\.(.+?)\]")
_TABLE = re.compile(r"\[\[?([a-z.]+)\]\]?")


def form_sentence(key: str, message: str) -> str:
    """The reader's message as a whole sentence, its label in the form's words. `key`: the form's field."""
    name = _name_of(key)
    if name:
        message = _LABEL.sub(lambda _: name, message)
    plain = _TABLE.sub(r"the \1", _SIZES_OWN.sub(r"size \1", message)).replace("the the ", "the ")
    plain = plain.replace(" of the file", "")
    return plain[:1].upper() + plain[1:] + ("" if plain.endswith((".", "!", "?")) else ".")


def _name_of(key: str) -> str:
    for pattern, name in _NAMES:
        found = re.fullmatch(pattern, key)
        if found:
            return found.expand(name)
    return ""
