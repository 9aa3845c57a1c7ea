"""Sizes of data as people write them: "2 GB", "310 KB"."""

from __future__ import annotations

import re

UNITS = {"GB": 1_000_000_000, "MB": 1_000_000, "KB": 1_000}
WRITTEN = re.compile(r"(\d{1,6}(?:\.\d{1,3})?) ?(GB|MB|KB)", re.IGNORECASE)


def read_size(text: str) -> int | None:
    """Bytes of a size such as "2 GB" or "500MB"; None when it is not written so."""
    found = WRITTEN.fullmatch(text.strip())
    return round(float(found[1]) * UNITS[found[2].upper()]) if found else None


def size_words(size: int) -> str:
    """ "310 KB", "1.6 GB"."""
    for unit, least in UNITS.items():
        if size >= least:
            return f"{size / least:.1f}".removesuffix(".0") + f" {unit}"
    return f"{size} bytes"
