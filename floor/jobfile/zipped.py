"""A ZIP that somebody sends, unpacked in memory and within bounds: no name of it is ever used as a path."""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from pathlib import PurePosixPath

MAX_ZIP_ENTRIES = 100
MAX_ZIP_RATIO = 200
"""Unpacked to packed size: a drawing's text shrinks to a tenth or a fiftieth, a bomb to a thousandth."""

MAX_NAME_CHARACTERS = 60

_MANAGED_NAMES = ("__MACOSX", ".")


class ZipRefused(ValueError):
    """The ZIP is unsound or too much; the message is one sentence."""


def unpacked(content: bytes, endings: tuple[str, ...], max_bytes: int) -> dict[str, bytes]:
    """The entries with one of these endings, by name; the others are left packed."""
    if len(content) > max_bytes:
        raise ZipRefused(
            f"the ZIP has {len(content) / 1e6:.1f} MB and Floor takes {max_bytes / 1e6:.1f} MB at most"
        )
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return _entries(archive, endings, max_bytes)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as error:
        if isinstance(error, ZipRefused):
            raise
        # RuntimeError: it is locked with a password; NotImplementedError, its child: packed in an odd way.
        raise ZipRefused("the ZIP cannot be unpacked; pack it again, without a password") from error


def _entries(archive: zipfile.ZipFile, endings: tuple[str, ...], max_bytes: int) -> dict[str, bytes]:
    infos = archive.infolist()
    if len(infos) > MAX_ZIP_ENTRIES:
        raise ZipRefused(f"the ZIP holds {len(infos)} files; pack the job file and its SVG alone")
    entries: dict[str, bytes] = {}
    room = max_bytes
    for info in infos:
        parts = PurePosixPath(info.filename).parts
        if info.is_dir() or not info.filename.lower().endswith(endings):
            continue
        if any(part.startswith(_MANAGED_NAMES) for part in parts):
            continue
        if info.file_size > MAX_ZIP_RATIO * max(1, info.compress_size):
            raise ZipRefused(
                f"the ZIP unpacks to more than {MAX_ZIP_RATIO} times its size; send the files themselves"
            )
        # The size that the ZIP states is not believed: one byte too many is read and found.
        with archive.open(info) as entry:
            data = entry.read(room + 1)
        room -= len(data)
        if room < 0:
            raise ZipRefused(
                f"the ZIP unpacks to more than {max_bytes / 1e6:.1f} MB; send the job and its SVG alone"
            )
        entries[info.filename] = data
    return entries


def job_zip(title: str, job_text: str, svg_name: str, svg_text: str) -> bytes:
    """A job file and its outline as one ZIP, the same bytes for the same job; `read_job_bytes` reads it.

    `svg_name`: as the job file names it, beside itself or in a folder below.
    """
    name = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:MAX_NAME_CHARACTERS] or "job"
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for entry, text in ((f"{name}.toml", job_text), (posixpath.normpath(svg_name), svg_text)):
            content = text.encode("utf-8")
            # What shrinks like a bomb would not be unpacked again.
            shrinks_too_well = len(content) > MAX_ZIP_RATIO * len(zlib.compress(content)) // 2
            way = zipfile.ZIP_STORED if shrinks_too_well else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(entry), content, way)
    return packed.getvalue()
