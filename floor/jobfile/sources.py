"""Where a job file comes from: texts, a folder, an upload; its SVG lies where the file says."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath

from floor.domain.job import Design, Job
from floor.domain.outline import MAX_SVG_BYTES, TALLEST_MM, Outline, OutlineError, read_outline
from floor.domain.quoting import quoted
from floor.jobfile.errors import JobFileErrors, Problems
from floor.jobfile.needs import RouteNeeds
from floor.jobfile.reading import job_of
from floor.jobfile.tables import Table
from floor.jobfile.texts import MAX_TOML_BYTES, check_size, read_toml, refused, text_of
from floor.jobfile.zipped import ZipRefused, unpacked


@dataclass(frozen=True)
class JobSource:
    """A job with the texts it came from, so that the shop can keep both."""

    job: Job
    toml_text: str
    svg_name: str
    svg_text: str


class _NoOutline(ValueError):
    """The SVG that the job file names cannot be had; the message says why."""


def read_job(toml_text: str, svg_text: str | None, known_routes: Mapping[str, RouteNeeds]) -> Job:
    """The job, its outline checked too. `svg_text` None: the outline is not at hand and is not checked.

    Raises JobFileErrors with every problem that the file has.
    """
    return _read(toml_text, None if svg_text is None else lambda _: svg_text, known_routes)


def read_job_folder(path: Path, known_routes: Mapping[str, RouteNeeds]) -> JobSource:
    """The job of the TOML file at `path`, or of the only one in the folder `path`, with the SVG beside it."""
    toml_path = _toml_in(path) if path.is_dir() else path
    toml_text = text_of(_file_bytes(toml_path, MAX_TOML_BYTES), toml_path.name)
    folder = toml_path.parent.resolve()

    def fetch(name: str) -> str:
        if PurePosixPath(name).is_absolute() or PureWindowsPath(name).anchor or "\\" in name:
            raise _NoOutline(
                f"the outline {quoted(name)} is not a plain name; name the SVG beside the job file"
            )
        try:
            svg_path = (folder / name).resolve()
        except (OSError, RuntimeError) as error:  # links that lead to themselves
            raise _NoOutline(
                f"the outline {quoted(name)} leads to no file; put the SVG beside the job file"
            ) from error
        if not svg_path.is_relative_to(folder):
            raise _NoOutline(
                f"the outline {quoted(name)} leaves the job's folder; put the SVG beside the job file"
            )
        try:
            return text_of(_file_bytes(svg_path, MAX_SVG_BYTES), name)
        except JobFileErrors as missing:
            raise _NoOutline(missing.errors[0].message) from missing

    return _source(toml_text, fetch, known_routes)


def read_job_bytes(files: Mapping[str, bytes], known_routes: Mapping[str, RouteNeeds]) -> JobSource:
    """The job of an upload: one .toml and one .svg, or one .zip that holds both. Names are file names."""
    if len(files) == 1 and next(iter(files)).lower().endswith(".zip"):
        try:
            files = unpacked(next(iter(files.values())), (".toml", ".svg"), MAX_TOML_BYTES + MAX_SVG_BYTES)
        except ZipRefused as error:
            raise refused(str(error)) from error
    toml_name, svg_name = _only(files, ".toml"), _only(files, ".svg")
    check_size(len(files[toml_name]), MAX_TOML_BYTES, toml_name)
    toml_text = text_of(files[toml_name], toml_name)
    beside = PurePosixPath(toml_name).parent

    def fetch(name: str) -> str:
        if PurePosixPath(posixpath.normpath(beside / name)) != PurePosixPath(svg_name):
            raise _NoOutline(
                f"the outline {quoted(name)} was not sent, but {quoted(svg_name)} was; rename one of them"
            )
        try:
            check_size(len(files[svg_name]), MAX_SVG_BYTES, svg_name)
            return text_of(files[svg_name], svg_name)
        except JobFileErrors as unreadable:
            raise _NoOutline(unreadable.errors[0].message) from unreadable

    return _source(toml_text, fetch, known_routes)


def outline_of(svg_text: str, design: Design) -> Outline:
    """The design's outline in mm, where the job places it."""
    return read_outline(svg_text, design.height).scaled(design.height, design.centre)


def _source(toml_text: str, fetch: Callable[[str], str], routes: Mapping[str, RouteNeeds]) -> JobSource:
    fetched: list[str] = []

    def remembered(name: str) -> str:
        fetched.append(fetch(name))
        return fetched[-1]

    job = _read(toml_text, remembered, routes)
    return JobSource(job, toml_text, job.design.outline, fetched[-1])


def _read(toml_text: str, fetch: Callable[[str], str] | None, routes: Mapping[str, RouteNeeds]) -> Job:
    data, lines = read_toml(toml_text)
    problems = Problems(lines)
    job = job_of(Table(data, (), "the file", problems), routes)
    if fetch is not None and job.design.outline:
        try:
            # A height that cannot be read says nothing about the outline.
            height = job.design.height if job.design.height > 0 else TALLEST_MM
            read_outline(fetch(job.design.outline), height)
        except _NoOutline as missing:
            problems.add(("design", "outline"), str(missing))
        except OutlineError as error:
            problems.add(
                ("design", "outline"), f"the outline {quoted(job.design.outline)} cannot be sewn: {error}"
            )
    if problems.errors:
        raise JobFileErrors(problems.errors)
    return job


def _file_bytes(path: Path, most: int) -> bytes:
    try:
        size, is_file = path.stat().st_size, path.is_file()
        content = path.read_bytes() if is_file and size <= most else b""
    except (FileNotFoundError, NotADirectoryError) as error:
        raise refused(
            f"there is no file {quoted(path.name)} in the folder {quoted(path.resolve().parent.name)}"
        ) from error
    except (OSError, ValueError) as error:
        raise refused(f"{quoted(path.name)} cannot be read; look at its name and its permissions") from error
    if not is_file:
        raise refused(f"{quoted(path.name)} is not a file; name the file itself")
    check_size(size, most, quoted(path.name))
    return content


def _toml_in(folder: Path) -> Path:
    found = sorted(folder.glob("*.toml"))
    if len(found) != 1:
        raise refused(
            f"the folder {quoted(folder.name)} holds {len(found)} .toml files; name the job file itself"
        )
    return found[0]


def _only(files: Mapping[str, bytes], ending: str) -> str:
    found = [name for name in files if name.lower().endswith(ending)]
    if len(found) != 1:
        raise refused(
            f"{len(found)} {ending} files were sent; send one .toml and its .svg, or a .zip of both"
        )
    return found[0]
