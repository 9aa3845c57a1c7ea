"""The list of what a tablet holds is read off the files themselves, and changes with them."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from PIL import Image

from floor.places import page_folder
from floor.web import offline, static_files
from floor.web.offline import imports_of, leads_to, links_of

STATIC = page_folder("static")


def held(client: FlaskClient) -> dict[str, Any]:
    head, _, _ = client.get("/sw.js").text.partition("\n")
    found: dict[str, Any] = json.loads(head.removeprefix("const HELD=").removesuffix(";"))
    return found


def test_the_worker_may_serve_every_page_and_is_looked_at_again_each_time(client: FlaskClient) -> None:
    answer = client.get("/sw.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Service-Worker-Allowed"] == "/"
    assert answer.headers["Cache-Control"] == "no-cache"
    again = client.get("/sw.js", headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_every_file_and_document_of_the_list_is_served_with_that_sum(client: FlaskClient) -> None:
    listed = held(client)
    for address, sum in (listed["documents"] | listed["files"]).items():
        assert hashlib.sha256(client.get(address).data).hexdigest() == sum, address


def test_what_a_page_needs_is_held_and_the_scanners_own_reader_only_later(client: FlaskClient) -> None:
    listed = held(client)
    names = {address.removeprefix("/static/") for address in listed["files"]}
    for name in ("js/tablet/tablet.js", "js/tablet/run_page.js", "pack/0.js", "js/tablet/scan_page.js",
                 "vendor/alpine/alpine-csp.min.js", "css/base.css", "css/tablet_run.css", "manifest.webmanifest",
                 "icons/floor-192.png"):  # fmt: skip
        assert name in names
    assert len([name for name in names if name.startswith("fonts/")]) == len(
        list((STATIC / "fonts").glob("*.woff2"))
    )
    assert not [name for name in names if "zxing" in name or name.startswith("js/office/")]
    assert {address.rpartition("/")[2] for address in listed["later"]} == {
        "index.js", "share.js", "zxing_reader.wasm",
    }  # fmt: skip


def test_a_version_is_the_same_until_a_file_changes(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = held(client)
    assert held(client) == before
    changed = static_files.prepared("css/tablet.css")
    assert changed is not None
    real = static_files.prepared
    monkeypatch.setattr(
        offline,
        "prepared",
        lambda name: offline.ready(b"p{}", "text/css") if name == "css/tablet.css" else real(name),
    )
    after = held(client)
    assert after["version"] != before["version"]
    assert after["files"]["/static/css/tablet.css"] != changed.sum


def test_a_module_that_names_a_missing_file_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(static_files, "page_folder", lambda name: tmp_path)
    (tmp_path / "one.js").write_text('import { a } from "./gone.js";\n')
    with pytest.raises(LookupError, match=r"gone\.js"):
        leads_to(["one.js"])


def test_imports_are_read_wherever_they_stand() -> None:
    script = """
    import { a, b } from "./ab.js"; // from "./comment.js"
    import "./bare.js";
    export { c } from "../c.js";
    const later = () => import("./later.js");
    const file = new URL("../file.wasm", import.meta.url);
    const words = 'from "./words.js"';
    """
    assert imports_of(script) == ["./ab.js", "./bare.js", "../c.js", "./later.js", "../file.wasm"]


def test_only_files_of_ours_are_read_off_a_document() -> None:
    document = '<link href="/static/css/a.css"><script src="/static/js/b.js"></script><a href="/tablet">x</a>'
    assert links_of(document) == ["css/a.css", "js/b.js"]


def test_the_scan_page_alone_may_compile_its_reader(client: FlaskClient) -> None:
    assert "'wasm-unsafe-eval'" in client.get("/tablet/scan").headers["Content-Security-Policy"]
    assert "wasm" not in client.get("/tablet").headers["Content-Security-Policy"]
    wasm = client.get("/static/vendor/zxing/reader/zxing_reader.wasm")
    assert wasm.headers["Content-Type"] == "application/wasm"


def test_the_manifest_names_icons_of_the_sizes_that_it_says(client: FlaskClient) -> None:
    answer = client.get("/static/manifest.webmanifest")
    assert answer.headers["Content-Type"] == "application/manifest+json"
    manifest = json.loads(answer.data)
    assert (manifest["start_url"], manifest["scope"], manifest["display"]) == ("/tablet", "/", "standalone")
    base = (STATIC / "css" / "base.css").read_text()
    assert f"--paper: {manifest['background_color']}" in base
    assert f"--white: {manifest['theme_color']}" in base
    drawn = [icon for icon in manifest["icons"] if icon["type"] == "image/png"]
    assert {icon["sizes"] for icon in drawn} == {"192x192", "512x512"}
    assert "maskable" in {icon.get("purpose") for icon in drawn}
    for icon in drawn:
        with Image.open(STATIC / icon["src"]) as picture:
            assert icon["sizes"] == f"{picture.width}x{picture.height}"
