"""The export: the same rows as `floor export`, streamed."""

from __future__ import annotations

from datetime import datetime

from flask import Blueprint, Response, render_template, request, stream_with_context
from flask.typing import ResponseReturnValue

from floor.queries.export import COLUMNS, columns_of, csv_lines, export_rows, jsonl_lines
from floor.queries.office.words import local_day
from floor.web import errors
from floor.web.clock import now_ms

blueprint = Blueprint("export", __name__)

MIME_TYPES = {"csv": "text/csv", "jsonl": "application/x-ndjson"}


@blueprint.get("/export")
def index() -> ResponseReturnValue:
    return render_template("office/export.html", columns=COLUMNS, today=local_day(now_ms()).isoformat())


@blueprint.get("/export/file")
def chosen() -> ResponseReturnValue:
    """The page's form names the file in its fields; here they become the file's own address."""
    return download(request.args.get("what", ""), request.args.get("format", ""))


@blueprint.get("/export/<what>.<form>")
def download(what: str, form: str) -> ResponseReturnValue:
    if what not in COLUMNS or form not in MIME_TYPES:
        raise errors.Missing(f"There is no such export; there are {', '.join(COLUMNS)}, as .csv or .jsonl.")
    asked = request.args.get("since", "").strip()
    try:
        since = datetime.strptime(asked, "%Y-%m-%d").astimezone() if asked else None
    except (ValueError, OverflowError):
        return errors.answer(
            400, "NoDate", f'"{asked[:20]}" is not a day; write it as 2026-11-25, or leave it out.'
        )
    rows = export_rows(what, since)
    lines = csv_lines(rows, columns_of(what)) if form == "csv" else jsonl_lines(rows)
    name = f"floor-{what}{f'-since-{since.date()}' if since else ''}.{form}"
    return Response(
        stream_with_context(lines),
        mimetype=MIME_TYPES[form],
        headers={"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"},
    )
