"""Texts that a ticket can print: short, on one line, with nothing invisible in them."""

from __future__ import annotations

import unicodedata

from floor.domain.quoting import quoted

MAX_TEXT_CHARACTERS = 120

_REFUSED_CATEGORIES = frozenset({"Cc", "Zl", "Zp", "Cs"})  # control characters, line and paragraph ends


def text_fault(text: str, label: str) -> str:
    """Why the text cannot stand on a ticket, as a clause about `label`; "" when it can."""
    if len(text) > MAX_TEXT_CHARACTERS:
        return f"{label} has {len(text)} characters; at most {MAX_TEXT_CHARACTERS} fit on a ticket"
    if any(unicodedata.category(c) in _REFUSED_CATEGORIES for c in text):
        return f"{label}, {quoted(text)}, has a control character; write it on one line"
    if not text.strip():
        return f"{label} is empty; write at least one character"
    return ""
