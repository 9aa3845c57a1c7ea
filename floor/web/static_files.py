"""Floor's own files as they go out: scripts and styles without what only people read, each packed once.

They are asked for again at each load and answered with "not modified", so that a page and its modules are always of
one age; a tablet under the service worker does not ask at all. Only the letters are kept a day unasked: a page that
waited for an answer about them would be painted in others.
"""

from __future__ import annotations

import hashlib
import logging
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import rcssmin
from flask import Flask, Response, request
from flask.typing import ResponseReturnValue
from werkzeug.security import safe_join

from floor.places import page_folder
from floor.web.compressing import COMPRESSIBLE, accepts_gzip, packed
from floor.web.errors import Missing
from floor.web.packing import Unpackable, packed_modules
from floor.web.shorter_js import shorter_js

log = logging.getLogger("floor")

# Not by the machine's own list, which on Windows may call a script plain text.
MEDIA_TYPES = {
    ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".png": "image/png",
    ".woff2": "font/woff2", ".wasm": "application/wasm", ".webmanifest": "application/manifest+json",
}  # fmt: skip
VENDORED = ("vendor", "fonts")
LETTERS_KEPT_S = 86_400


@dataclass(frozen=True)
class Prepared:
    """A file as it goes out. `sum`: SHA-256 of `body`, hex; `gzipped`: None where packing gains nothing."""

    body: bytes
    gzipped: bytes | None
    sum: str
    media_type: str


_packed: dict[str, Any] = {}
_prepared: dict[Path, tuple[tuple[int, int], Prepared]] = {}


def prepared(name: str) -> Prepared | None:
    """The file static/`name`, as the tablet's packs have it where it is in one; None where there is none."""
    return packs().get(name) or alone(name)


def packs() -> dict[str, Prepared]:
    """The tablet's packs, and what stands at the addresses of their modules. Made again once a script has changed."""
    folder = page_folder("static") / "js"
    age = tuple((entry.path, entry.stat().st_mtime_ns, entry.stat().st_size) for entry in _scripts(folder))
    if _packed.get("age") != age:
        try:
            texts = packed_modules(_module)
        except (Unpackable, LookupError) as why:
            log.warning("the tablet's modules go out one by one: %s", why)
            texts = {}
        made = {name: ready(text.encode(), MEDIA_TYPES[".js"]) for name, text in texts.items()}
        _packed.update(age=age, made=made)
    found: dict[str, Prepared] = _packed["made"]
    return found


def _scripts(folder: Path) -> Iterator[os.DirEntry[str]]:
    if folder.is_dir():
        for entry in os.scandir(folder):
            if entry.is_dir():
                yield from _scripts(Path(entry.path))
            else:
                yield entry


def _module(name: str) -> str:
    file = alone(name)
    if file is None:
        raise LookupError(f"static/{name} is not there")
    return file.body.decode()


def alone(name: str) -> Prepared | None:
    """The file by itself. Read again only once it has changed."""
    joined = safe_join(str(page_folder("static")), name)
    path = Path(joined) if joined else None
    if path is None or not path.is_file():
        return None
    stat = path.stat()
    age = (stat.st_mtime_ns, stat.st_size)
    kept = _prepared.get(path)
    if kept is None or kept[0] != age:
        kept = _prepared[path] = (age, _prepare(path, own=not name.startswith(VENDORED)))
    return kept[1]


def _prepare(path: Path, own: bool) -> Prepared:
    body = path.read_bytes()
    media_type = MEDIA_TYPES.get(path.suffix, "text/plain")
    if own and path.suffix == ".js":
        body = shorter_js(body.decode()).encode()
    if own and path.suffix == ".css":
        body = rcssmin.cssmin(body.decode()).encode()
    return ready(body, media_type)


def ready(body: bytes, media_type: str) -> Prepared:
    gzipped = packed(body, hard=True) if media_type in COMPRESSIBLE else None
    return Prepared(body, gzipped, hashlib.sha256(body).hexdigest(), media_type)


def register(app: Flask) -> None:
    """The endpoint is "static", as templates name it."""
    app.add_url_rule("/static/<path:filename>", endpoint="static", view_func=_static)


def _static(filename: str) -> ResponseReturnValue:
    file = prepared(filename)
    if file is None:
        raise Missing("There is no such file here.")
    return answer(file)


def answer(file: Prepared) -> Response:
    """The file, packed if the browser takes that, or "not modified"."""
    gzipped = file.gzipped if accepts_gzip() else None
    response = Response(gzipped or file.body, content_type=_content_type(file.media_type))
    response.set_etag(file.sum[:20] + ("-gzip" if gzipped else ""))
    if file.media_type == MEDIA_TYPES[".woff2"]:
        response.cache_control.max_age = LETTERS_KEPT_S
    else:
        response.cache_control.no_cache = True
    if gzipped:
        response.content_encoding = "gzip"
    if file.gzipped:
        response.vary.add("Accept-Encoding")
    response.make_conditional(request)
    return response


def _content_type(media_type: str) -> str:
    return f"{media_type}; charset=utf-8" if media_type.startswith("text/") else media_type
