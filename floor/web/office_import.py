"""Bringing a job in: a job file and its outline, or a .zip of both."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, current_app, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import RequestEntityTooLarge

from floor.domain.outline import MAX_SVG_BYTES
from floor.jobfile import JobFileErrors, read_job_bytes
from floor.jobfile.texts import MAX_TOML_BYTES
from floor.jobfile.zipped import ZipRefused, unpacked
from floor.queries.planned import NothingToSew
from floor.queries.shop_routes import route_needs, shop_routes
from floor.services.jobs import AlreadyImported, import_job
from floor.web.clock import now_ms
from floor.web.errors import SENTENCES
from floor.web.sign_in import NO_UNDO, signed_in_name

blueprint = Blueprint("bring_in", __name__)

MAX_LINE_SHOWN = 160


@dataclass(frozen=True)
class Wrong:
    """One thing that is wrong with the file, beside the line it stands in ("" where no line is to blame)."""

    line: int | None
    text: str
    message: str


@blueprint.get("/import")
def form() -> ResponseReturnValue:
    return _page()


@blueprint.post("/import")
def bring_in() -> ResponseReturnValue:
    try:
        uploads = [upload for upload in request.files.getlist("files") if upload.filename]
    except RequestEntityTooLarge:
        return _page(sentence=SENTENCES[413]), 413
    if not uploads:
        return _page(
            sentence="No file was chosen; choose the job file and its outline, or a .zip of both."
        ), 400
    files = {_file_name(upload.filename or ""): upload.read() for upload in uploads}
    try:
        source = read_job_bytes(files, route_needs())
        row = import_job(source, signed_in_name(), now_ms(), current_app.config["FLOOR"].house)
    except JobFileErrors as found:
        lines = _toml_lines(files)
        wrong = [Wrong(e.line, _line(lines, e.line), _sentence(e.message)) for e in found.errors]
        return _page(wrong=wrong, names=list(files)), 422
    except NothingToSew as why:
        return _page(sentence=str(why)), 422
    except AlreadyImported as before:
        return _page(before=before), 409
    flash(f'"{row.title}" is here; print its ticket and it can start.', NO_UNDO)
    return redirect(url_for("office.jobs.job", code=row.code))


def _page(
    sentence: str = "",
    wrong: list[Wrong] | None = None,
    names: list[str] | None = None,
    before: AlreadyImported | None = None,
) -> str:
    return render_template(
        "office/import.html",
        sentence=sentence,
        wrong=wrong or [],
        names=names or [],
        before=before,
        routes=[shop.route for shop in shop_routes().values()],
    )


def _file_name(sent: str) -> str:
    """The name alone: some browsers send a folder's name before it."""
    return sent.replace("\\", "/").rsplit("/", 1)[-1]


def _toml_lines(files: dict[str, bytes]) -> list[str]:
    """The lines of the job file that was sent, for quoting; none when it cannot be had."""
    names = [name for name in files if name.lower().endswith(".zip")]
    try:
        inside = unpacked(files[names[0]], (".toml",), MAX_TOML_BYTES + MAX_SVG_BYTES) if names else files
    except ZipRefused:  # the page already says so
        return []
    found = [content for name, content in inside.items() if name.lower().endswith(".toml")]
    return found[0].decode("utf-8", "replace").splitlines() if len(found) == 1 else []


def _line(lines: list[str], number: int | None) -> str:
    return lines[number - 1][:MAX_LINE_SHOWN] if number is not None and 0 < number <= len(lines) else ""


def _sentence(message: str) -> str:
    return message[:1].upper() + message[1:] + ("" if message.endswith((".", "!", "?")) else ".")
