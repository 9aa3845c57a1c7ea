"""What a tablet holds so that it opens without a server: the documents, and every file that they lead to.

The list is read off the files themselves: from a document to its scripts and styles, from a script to what it imports,
from a style to its fonts. The service worker gets it with the sum of each, and takes all of it or nothing.
"""

from __future__ import annotations

import hashlib
import json
import posixpath
import re
from collections.abc import Iterable
from html.parser import HTMLParser
from typing import Any

from flask import Blueprint, current_app
from flask.typing import ResponseReturnValue

from floor.web.shorter_js import tokens_of
from floor.web.static_files import Prepared, answer, prepared, ready

DOCUMENTS = {"/tablet/shell": "tablet.shell", "/tablet/scan": "scan.page"}
SCANNER = "vendor/zxing/"  # large, and only where the browser cannot read a code itself
STATIC = "/static/"
STYLE_URL = re.compile(r"""url\(\s*["']?([^"')]+)""")

blueprint = Blueprint("offline", __name__)


@blueprint.get("/sw.js")
def service_worker() -> ResponseReturnValue:
    script = prepared("sw.js")
    assert script is not None
    held = json.dumps(held_by_tablets(), sort_keys=True)
    response = answer(ready(f"const HELD={held};\n".encode() + script.body, script.media_type))
    response.headers["Service-Worker-Allowed"] = "/"
    return response


def held_by_tablets() -> dict[str, object]:
    """{"version", "documents": {address: sum}, "files": {address: sum}, "later": [address]}."""
    documents = {address: _document(endpoint) for address, endpoint in DOCUMENTS.items()}
    found = leads_to({name for text in documents.values() for name in links_of(text)})
    sums = {address: hashlib.sha256(text.encode()).hexdigest() for address, text in documents.items()}
    files = {STATIC + name: file.sum for name, file in found.items() if not name.startswith(SCANNER)}
    later = {STATIC + name: file.sum for name, file in found.items() if name.startswith(SCANNER)}
    text = json.dumps([sums, files, later], sort_keys=True)
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    return {"version": version, "documents": sums, "files": files, "later": sorted(later)}


def leads_to(names: Iterable[str]) -> dict[str, Prepared]:
    """Those files and all that they lead to. Raises LookupError for one that is not there."""
    found: dict[str, Prepared] = {}
    ahead = sorted(names)
    while ahead:
        name = ahead.pop()
        if name in found:
            continue
        file = prepared(name)
        if file is None:
            raise LookupError(f"static/{name} is named by a file of Floor and is not there")
        found[name] = file
        folder = posixpath.dirname(name)
        links = [posixpath.normpath(posixpath.join(STATIC, folder, link)) for link in _links(name, file)]
        ahead += [link.removeprefix(STATIC) for link in links]
    return found


def _links(name: str, file: Prepared) -> list[str]:
    """What the file names, relative to its folder."""
    if name.endswith(".js") and not name.endswith(".min.js"):
        return imports_of(file.body.decode())
    if name.endswith(".css"):
        return [link for link in STYLE_URL.findall(file.body.decode()) if not link.startswith("data:")]
    if name.endswith(".webmanifest"):
        return [icon["src"] for icon in json.loads(file.body)["icons"]]
    return []


def imports_of(script: str) -> list[str]:
    """What a module imports: at its head, later on, and what it names by `new URL("…", import.meta.url)`."""
    tokens = list(tokens_of(script))
    found = []
    for at, token in enumerate(tokens):
        before = [earlier.text for earlier in tokens[max(0, at - 3) : at]]
        after = [later.text for later in tokens[at + 1 : at + 3]]
        imported = before[-1:] in (["from"], ["import"]) or before[-2:] == ["import", "("]
        named = before == ["new", "URL", "("] and after == [",", "import"]
        if token.text[0] in "'\"" and (imported or named):
            found.append(token.text[1:-1])
    return found


def links_of(document: str) -> list[str]:
    """The static files that a document names itself."""
    reader = _Links()
    reader.feed(document)
    reader.close()
    return reader.found


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in ("href", "src", "data-later") and value and value.startswith(STATIC):
                self.found.append(value.removeprefix(STATIC))


def _document(endpoint: str) -> str:
    answered: Any = current_app.view_functions[endpoint]()
    return current_app.make_response(answered).get_data(as_text=True)
