"""A fault of a job file in the words of the form that it was typed in."""

from __future__ import annotations

import re

from floor.queries.field_names import field_name

# The label that a message begins with, up to what is wrong.
_LABEL = re.compile(
    r"^the .+? of .+?(?= cannot be read: | is \"| is [-\d.]+;|, \"| is empty| has \d+ characters)"
)
_SIZES_OWN = re.compile(r"\[opening\.sizes\.(.+?)\]")
_TABLE = re.compile(r"\[\[?([a-z.]+)\]\]?")


def form_sentence(key: str, message: str) -> str:
    """The reader's message as a whole sentence, its label in the form's words. `key`: the form's field."""
    name = field_name(key)
    if name:
        message = _LABEL.sub(lambda _: name, message)
    plain = _TABLE.sub(r"the \1", _SIZES_OWN.sub(r"size \1", message)).replace("the the ", "the ")
    plain = plain.replace(" of the file", "")
    return plain[:1].upper() + plain[1:] + ("" if plain.endswith((".", "!", "?")) else ".")
