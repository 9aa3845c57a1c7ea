"""What goes out is packed with gzip where it is text and the browser takes it.

Nothing of Floor's pages is a secret beside words that a stranger chose, so packing tells no stranger anything.
"""

from __future__ import annotations

import gzip
from functools import lru_cache

from flask import Response, request

COMPRESSIBLE = {
    "text/html", "text/css", "text/javascript", "text/plain", "text/csv", "application/json", "image/svg+xml",
    "application/wasm", "application/manifest+json",
}  # fmt: skip
LEAST_BYTES = 500  # below that the packing is larger than what it saves
ANSWERS_KEPT = 64
HARDEST, QUICK = 9, 6


def accepts_gzip() -> bool:
    return request.accept_encodings["gzip"] > 0


def compress(response: Response) -> Response:
    """Packs an answer that was made for this request; what was packed before, or is sent bit by bit, stays."""
    if response.mimetype not in COMPRESSIBLE or response.direct_passthrough or response.is_streamed:
        return response
    if response.content_encoding or response.status_code in (204, 304):
        return response
    response.vary.add("Accept-Encoding")
    gzipped = packed(response.get_data()) if accepts_gzip() else None
    if gzipped is not None:
        response.set_data(gzipped)
        response.content_encoding = "gzip"
    return response


def packed(body: bytes, hard: bool = False) -> bytes | None:
    """None where it would not be smaller. The same body is packed once: pages and pictures are asked for often."""
    if len(body) < LEAST_BYTES:
        return None
    gzipped = _hard(body) if hard else _quick(body)
    return gzipped if len(gzipped) < len(body) else None


def _hard(body: bytes) -> bytes:
    return gzip.compress(body, HARDEST, mtime=0)


@lru_cache(maxsize=ANSWERS_KEPT)
def _quick(body: bytes) -> bytes:
    return gzip.compress(body, QUICK, mtime=0)
