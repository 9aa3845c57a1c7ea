import io
import zipfile
from pathlib import Path

import pytest

from floor.jobfile import JobFileErrors, JobSource, RouteNeeds, read_job_bytes, read_job_folder

ROUTES = {"crest": RouteNeeds(opening=False, min_layers=1)}
SVG = '<svg xmlns="http://www.w3.org/2000/svg"><rect width="20" height="10"/></svg>'
TOML = """\
title = "Crest patches"
customer = "Quarry Street Drum Corps"
due = 2027-01-15
route = "crest"
design = { outline = "crest.svg", height = "96 mm" }
hoop = { field = ["360 mm", "200 mm"], clearance = "5 mm" }
backing = { kind = "cutaway", sheets = 2 }
machine = { speed = 600, heads = 1 }
[[layer]]
name = "Base"
fabric = "twill"
colour = "slate"
offset = "4 mm"
placement_line = true
tack = "run"
border = { width = "4 mm", spacing = "0.4 mm", thread = "slate 40" }
[[garment]]
size = "one size"
count = 8
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    job = tmp_path / "crest"
    job.mkdir()
    (job / "job.toml").write_text(TOML, encoding="utf-8")
    (job / "crest.svg").write_text(SVG, encoding="utf-8")
    return job


def refusal_of_folder(path: Path) -> str:
    with pytest.raises(JobFileErrors) as refused:
        read_job_folder(path, ROUTES)
    assert len(refused.value.errors) == 1
    return str(refused.value)


def refusal_of_upload(files: dict[str, bytes]) -> str:
    with pytest.raises(JobFileErrors) as refused:
        read_job_bytes(files, ROUTES)
    assert len(refused.value.errors) == 1
    return str(refused.value)


def zipped(files: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def is_the_crest(source: JobSource) -> bool:
    return (source.job.title, source.toml_text, source.svg_name, source.svg_text) == (
        "Crest patches",
        TOML,
        "crest.svg",
        SVG,
    )


class TestFolder:
    def test_a_job_is_read_by_its_file_or_its_folder(self, folder: Path) -> None:
        assert is_the_crest(read_job_folder(folder, ROUTES))
        assert is_the_crest(read_job_folder(folder / "job.toml", ROUTES))

    def test_a_byte_order_mark_is_no_part_of_the_text(self, folder: Path) -> None:
        (folder / "job.toml").write_bytes(b"\xef\xbb\xbf" + TOML.encode())
        assert is_the_crest(read_job_folder(folder, ROUTES))

    def test_an_svg_in_a_folder_below_is_found(self, folder: Path) -> None:
        (folder / "art").mkdir()
        (folder / "crest.svg").rename(folder / "art" / "crest.svg")
        (folder / "job.toml").write_text(TOML.replace("crest.svg", "art/crest.svg"), encoding="utf-8")
        assert read_job_folder(folder, ROUTES).svg_text == SVG

    @pytest.mark.parametrize(
        ("name", "part"),
        [
            ("../crest.svg", "leaves the job's folder"),
            ("art/../../crest.svg", "leaves the job's folder"),
            ("/etc/hosts", "is not a plain name"),
            ("C:/crest.svg", "is not a plain name"),
            ("C:\\\\crest.svg", "is not a plain name"),
            ("other.svg", 'there is no file "other.svg"'),
            ("job.toml/crest.svg", "there is no file"),
            (".", "is not a file"),
            ("x" * 120, "there is no file"),
        ],
    )
    def test_an_outline_that_is_not_beside_the_job_is_refused(
        self, folder: Path, name: str, part: str
    ) -> None:
        (folder.parent / "crest.svg").write_text(SVG, encoding="utf-8")
        (folder / "job.toml").write_text(TOML.replace("crest.svg", name), encoding="utf-8")
        sentence = refusal_of_folder(folder)
        assert sentence.startswith("line 5: ")
        assert part in sentence

    def test_a_link_out_of_the_folder_is_refused(self, folder: Path) -> None:
        (folder.parent / "secret.svg").write_text(SVG, encoding="utf-8")
        (folder / "crest.svg").unlink()
        (folder / "crest.svg").symlink_to(folder.parent / "secret.svg")
        assert "leaves the job's folder" in refusal_of_folder(folder)

    def test_a_link_to_itself_is_refused(self, folder: Path) -> None:
        (folder / "crest.svg").unlink()
        (folder / "crest.svg").symlink_to(folder / "crest.svg")
        assert "line 5: " in refusal_of_folder(folder)

    def test_a_missing_job_file_is_named(self, folder: Path) -> None:
        assert refusal_of_folder(folder / "jobs.toml") == 'there is no file "jobs.toml" in the folder "crest"'

    def test_a_folder_with_two_job_files_needs_a_choice(self, folder: Path) -> None:
        (folder / "other.toml").write_text(TOML, encoding="utf-8")
        assert "holds 2 .toml files" in refusal_of_folder(folder)

    def test_text_that_is_not_utf_8_is_refused(self, folder: Path) -> None:
        (folder / "job.toml").write_bytes(TOML.replace("Crest", "Cr\xe9st").encode("latin-1"))
        assert '"job.toml" is not UTF-8 text in its line 1' in refusal_of_folder(folder)

    def test_an_svg_that_is_not_utf_8_is_refused(self, folder: Path) -> None:
        (folder / "crest.svg").write_bytes(SVG.encode("utf-16"))
        assert refusal_of_folder(folder).startswith('line 5: "crest.svg" is not UTF-8 text')

    def test_files_that_are_too_large_are_not_read(self, folder: Path) -> None:
        with (folder / "crest.svg").open("wb") as svg:
            svg.truncate(20_000_000)
        assert '"crest.svg" has 20.0 MB and Floor reads at most 5.0 MB' in refusal_of_folder(folder)
        with (folder / "job.toml").open("wb") as toml:
            toml.truncate(300_000)
        assert "0.3 MB and Floor reads at most 0.2 MB" in refusal_of_folder(folder)


class TestUpload:
    def test_two_files_are_read(self) -> None:
        assert is_the_crest(read_job_bytes({"job.toml": TOML.encode(), "crest.svg": SVG.encode()}, ROUTES))

    @pytest.mark.parametrize("below", ["", "crest/", "a/b/", "/a/"])
    def test_a_zip_of_both_is_read(self, below: str) -> None:
        files = {
            f"{below}job.toml": TOML.encode(),
            f"{below}crest.svg": SVG.encode(),
            f"__MACOSX/{below}._crest.svg": b"\0",
            f"{below}.hidden.toml": b"\0",
            f"{below}notes.txt": b"by hand",
        }
        assert is_the_crest(read_job_bytes({"Job.ZIP": zipped(files)}, ROUTES))

    @pytest.mark.parametrize(
        ("files", "part"),
        [
            ({}, "0 .toml files were sent"),
            ({"job.toml": b""}, "0 .svg files were sent"),
            ({"a.toml": b"", "b.toml": b"", "crest.svg": b""}, "2 .toml files were sent"),
            ({"job.toml": TOML.encode(), "other.svg": SVG.encode()}, 'but "other.svg" was; rename'),
            ({"job.toml": b"\xff", "crest.svg": SVG.encode()}, "not UTF-8"),
            ({"job.toml": TOML.encode(), "crest.svg": b"\xff"}, "not UTF-8"),
            ({"job.toml": b"#" * 300_000, "crest.svg": SVG.encode()}, "0.3 MB"),
            ({"job.toml": TOML.encode(), "crest.svg": b" " * 6_000_000}, "6.0 MB"),
            ({"job.zip": b"PK\x03\x04 no zip"}, "cannot be unpacked"),
            ({"job.zip": b""}, "cannot be unpacked"),
            ({"job.zip": zipped({"job.toml": TOML.encode()})}, "0 .svg files"),
            ({"job.zip": zipped({"job.toml": TOML.encode()}), "crest.svg": b""}, "0 .toml files"),
            ({"job.zip": b"\0" * 6_000_000}, "the ZIP has 6.0 MB"),
            ({"job.zip": zipped({"a.svg": b" " * 4_000_000})}, "more than 200 times its size"),
            ({"job.zip": zipped({f"{i}.txt": b"" for i in range(101)})}, "holds 101 files"),
        ],
    )
    def test_what_is_no_job_is_refused_with_a_sentence(self, files: dict[str, bytes], part: str) -> None:
        assert part in refusal_of_upload(files)

    def test_a_zip_that_lies_about_its_size_is_refused(self) -> None:
        honest = zipped({"crest.svg": b"ab" * 50_000, "job.toml": TOML.encode()})
        size = (100_000).to_bytes(4, "little")
        assert honest.count(size) == 2
        assert "cannot be unpacked" in refusal_of_upload(
            {"job.zip": honest.replace(size, (90).to_bytes(4, "little"))}
        )

    def test_a_zip_of_much_that_shrinks_little_is_refused(self) -> None:
        some = bytes(range(256)) * 4_000
        half = {f"{i}.svg": b"".join(some[k:] for k in range(i, i + 3)) for i in range(3)}
        assert "MB; send the job and its SVG alone" in refusal_of_upload({"job.zip": zipped_stored(half)})

    @pytest.mark.parametrize("cut", range(0, 600, 37))
    def test_a_damaged_zip_gives_a_sentence(self, cut: int) -> None:
        whole = zipped({"job.toml": TOML.encode(), "crest.svg": SVG.encode()})
        damaged = whole[:cut] + bytes([whole[cut] ^ 0xFF]) + whole[cut + 1 :]
        try:
            assert is_the_crest(read_job_bytes({"job.zip": damaged}, ROUTES))
        except JobFileErrors as refused:
            assert [error.message for error in refused.errors]  # noqa: PT017


def zipped_stored(files: dict[str, bytes]) -> bytes:
    """Packed with bytes between that cannot shrink, so that no entry looks like a bomb."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return buffer.getvalue()
