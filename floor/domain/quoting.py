"""How Floor shows a person the text it could not read: short, on one line, nothing invisible."""

from __future__ import annotations

QUOTE_MAX_CHARACTERS = 40


def quoted(text: str, limit: int = QUOTE_MAX_CHARACTERS) -> str:
    """`text` in double quotes, cut after `limit` characters, with unprintable characters escaped."""
    shown = text if len(text) <= limit else text[: limit - 1] + "…"
    return '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in shown) + '"'


def ordinal(number: int) -> str:
    """1 -> "1st", 12 -> "12th", 23 -> "23rd"."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"
