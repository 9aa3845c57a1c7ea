"""Bringing a job in by the office's form."""

from __future__ import annotations

import io
import zipfile

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from floor.places import page_folder
from floor.store.models import JobRow, db

FOLDER = page_folder("demo_jobs") / "larkspur-jackets"
Sent = list[tuple[io.BytesIO, str]]


@pytest.fixture
def files() -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in FOLDER.iterdir()}


def send(client: FlaskClient, files: dict[str, bytes]) -> TestResponse:
    sent: Sent = [(io.BytesIO(content), name) for name, content in files.items()]
    return client.post("/office/import", data={"files": sent}, content_type="multipart/form-data")


def zipped(files: dict[str, bytes]) -> dict[str, bytes]:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return {"job.zip": packed.getvalue()}


def jobs() -> list[JobRow]:
    return list(db.session.scalars(db.select(JobRow)))


def test_a_job_file_and_its_outline_become_a_job(supervisor: FlaskClient, files: dict[str, bytes]) -> None:
    answer = send(supervisor, files)
    (job,) = jobs()
    assert answer.location == f"/office/jobs/{job.code}"
    assert job.revisions[0].created_by == "Maren"
    assert job.revisions[0].house["edge_sealing"] is True
    assert "print its ticket" in supervisor.get(answer.location).text


def test_a_zip_of_both_does_as_well(supervisor: FlaskClient, files: dict[str, bytes]) -> None:
    assert send(supervisor, zipped(files)).status_code == 302
    assert len(jobs()) == 1


@pytest.mark.parametrize("packed", [False, True])
def test_every_fault_is_shown_beside_its_line(
    supervisor: FlaskClient, files: dict[str, bytes], packed: bool
) -> None:
    name = next(name for name in files if name.endswith(".toml"))
    text = files[name].decode().replace('height = "120 mm"', "height = 120").replace('"zigzag"', '"<zig>"')
    files[name] = text.encode()
    answer = send(supervisor, zipped(files) if packed else files)
    assert answer.status_code == 422
    assert "2 things are to be put right" in answer.text
    line = text.splitlines().index("height = 120") + 1
    assert f"line {line}</span><code>height = 120</code>" in answer.text
    assert "&lt;zig&gt;" in answer.text
    assert "<zig>" not in answer.text
    assert jobs() == []


def test_a_design_beside_a_front_is_refused_in_one_sentence(
    supervisor: FlaskClient, files: dict[str, bytes]
) -> None:
    name = next(name for name in files if name.endswith(".toml"))
    files[name] = files[name].replace(b'centre = ["20 mm", "0 mm"]', b'centre = ["220 mm", "0 mm"]')
    answer = send(supervisor, files)
    assert answer.status_code == 422
    assert "Nothing of the design lies on the right front" in answer.text
    assert jobs() == []


def test_the_same_job_twice_is_said_with_a_link_and_what_to_change(
    supervisor: FlaskClient, files: dict[str, bytes]
) -> None:
    send(supervisor, files)
    answer = send(supervisor, files)
    assert answer.status_code == 409
    (job,) = jobs()
    assert f'href="/office/jobs/{job.code}"' in answer.text
    assert "change its title or its due date" in answer.text
    files = {n: c.replace(b"due = 2026-12-11", b"due = 2027-01-15") for n, c in files.items()}
    assert send(supervisor, files).status_code == 302
    assert len(jobs()) == 2


def test_too_large_an_upload_gets_one_sentence(supervisor: FlaskClient) -> None:
    head = b'--edge\r\nContent-Disposition: form-data; name="files"; filename="job.zip"\r\n\r\n'
    body = head + b"0" * (6 * 1024 * 1024 + 1) + b"\r\n--edge--\r\n"
    answer = supervisor.post("/office/import", data=body, content_type="multipart/form-data; boundary=edge")
    assert answer.status_code == 413
    assert "too large" in answer.text
    assert "Bring it in" in answer.text


def test_no_file_at_all_gets_one_sentence(supervisor: FlaskClient) -> None:
    answer = supervisor.post("/office/import", data={}, content_type="multipart/form-data")
    assert answer.status_code == 400
    assert "No file was chosen" in answer.text


@pytest.mark.parametrize(
    "sent",
    [
        {"job.toml": b"title = 1"},
        {"job.zip": b"this is no zip"},
        {"picture.png": b"\x89PNG"},
        {"a.toml": b"", "b.toml": b"", "c.svg": b""},
    ],
)
def test_what_is_no_job_is_refused_in_words(supervisor: FlaskClient, sent: dict[str, bytes]) -> None:
    answer = send(supervisor, sent)
    assert answer.status_code == 422
    assert "to be put right" in answer.text
    assert jobs() == []
