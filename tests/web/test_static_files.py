"""Floor's own files are packed, marked with what they hold, and not sent twice."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from floor.places import page_folder
from floor.web import static_files

GZIP = {"Accept-Encoding": "gzip, deflate"}
SCRIPT, STYLE = "/static/js/office/setup_page.js", "/static/css/base.css"


def test_a_script_goes_out_packed_and_without_comments(client: FlaskClient) -> None:
    answer = client.get(SCRIPT, headers=GZIP)
    assert answer.headers["Content-Encoding"] == "gzip"
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    text = gzip.decompress(answer.data).decode()
    assert "//" not in re.sub(r"https?://", "", text)
    assert "import" in text


def test_a_browser_that_cannot_unpack_gets_the_same_file_as_it_is(client: FlaskClient) -> None:
    plain = client.get(STYLE)
    assert "Content-Encoding" not in plain.headers
    assert plain.data == gzip.decompress(client.get(STYLE, headers=GZIP).data)
    assert client.get(STYLE, headers={"Accept-Encoding": "gzip;q=0"}).data == plain.data


def test_a_style_keeps_its_colours_and_loses_its_comments(client: FlaskClient) -> None:
    text = client.get(STYLE).text
    assert "/*" not in text
    assert "--paper:#fbf7ef" in text


def test_what_others_wrote_goes_out_as_they_wrote_it(client: FlaskClient) -> None:
    name = "vendor/alpine/alpine-csp.min.js"
    assert client.get(f"/static/{name}").data == (page_folder("static") / name).read_bytes()


@pytest.mark.parametrize("headers", [GZIP, {}])
def test_a_file_that_the_browser_has_is_not_sent_again(client: FlaskClient, headers: dict[str, str]) -> None:
    first = client.get(SCRIPT, headers=headers)
    assert first.headers["Cache-Control"] == "no-cache"
    again = client.get(SCRIPT, headers=headers | {"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert again.headers["Vary"] == "Accept-Encoding"


def test_packed_and_plain_are_two_things_to_a_cache_between(client: FlaskClient) -> None:
    packed, plain = client.get(SCRIPT, headers=GZIP), client.get(SCRIPT)
    assert packed.headers["ETag"] != plain.headers["ETag"]
    assert packed.headers["Vary"] == plain.headers["Vary"] == "Accept-Encoding"


def test_fonts_and_pictures_are_packed_already(client: FlaskClient) -> None:
    font = next((page_folder("static") / "fonts").glob("*.woff2"))
    answer = client.get(f"/static/fonts/{font.name}", headers=GZIP)
    assert answer.headers["Content-Type"] == "font/woff2"
    assert {"Content-Encoding", "Vary"} & set(answer.headers.keys()) == set()


@pytest.mark.parametrize(
    "name", ["css/none.css", "css", "../floor/cli.py", "%2e%2e/pyproject.toml", "css/../../README.md"]
)
def test_what_is_no_file_of_ours_is_not_there(client: FlaskClient, name: str) -> None:
    assert client.get(f"/static/{name}").status_code == 404


def test_a_file_that_changed_is_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(static_files, "page_folder", lambda name: tmp_path)
    script = tmp_path / "one.js"
    script.write_text("let a = 1; // first\n")
    first = static_files.prepared("one.js")
    assert first is static_files.prepared("one.js")
    script.write_text("let a = 22; // then\n")
    second = static_files.prepared("one.js")
    assert (first and first.body, second and second.body) == (b"let a=1;\n", b"let a=22;\n")


@pytest.mark.parametrize("address", ["/tablet", "/help", "/office/sign-in"])
def test_a_page_goes_out_packed(client: FlaskClient, address: str) -> None:
    packed, plain = client.get(address, headers=GZIP), client.get(address)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert len(packed.data) < len(plain.data) / 2
    assert int(packed.headers["Content-Length"]) == len(packed.data)


def test_a_tablets_answers_go_out_packed(client: FlaskClient, larkspur: str) -> None:
    answer = client.get(f"/tablet/held/{larkspur}.json", headers=GZIP)
    assert answer.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(answer.data).startswith(b"{")


def test_a_small_answer_is_left_as_it_is(client: FlaskClient) -> None:
    answer = client.post("/sync", json={}, headers=GZIP)
    assert "Content-Encoding" not in answer.headers


def test_the_letters_are_not_asked_for_at_each_page(client: FlaskClient) -> None:
    name = "fonts/atkinson-hyperlegible-next-latin-400-800.woff2"
    assert client.get(f"/static/{name}").headers["Cache-Control"] == "max-age=86400"
