"""Pictures for the supervisor: each by itself, all of them, and deleting old ones to make room."""

from __future__ import annotations

from datetime import date

from flask import Blueprint, current_app, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.domain.english import plural
from floor.queries.office.old_photos import old_photos
from floor.queries.office.photos_page import photos_page
from floor.queries.office.words import day_start_ms
from floor.queries.photos import photo_room
from floor.services.photos import delete_photos
from floor.web.clock import now_ms
from floor.web.photos import jpeg_response
from floor.web.sign_in import NO_UNDO, signed_in_name

blueprint = Blueprint("photos", __name__)


@blueprint.get("/photo/<uuid:photo>.jpg")
def photo(photo: object) -> ResponseReturnValue:
    return jpeg_response(str(photo))


@blueprint.get("/pictures")
def index() -> ResponseReturnValue:
    """All pictures; with `before`, also what deleting the old ones would delete."""
    return _page(request.args.get("before", ""))


@blueprint.post("/pictures/delete")
def delete() -> ResponseReturnValue:
    text = request.form.get("before", "")
    before = _day(text)
    if before is None:
        return _page(text)
    count = delete_photos(day_start_ms(before), signed_in_name(), now_ms())
    flash(f"{plural(count, 'picture')} deleted; what was tapped with them stays.", NO_UNDO)
    return redirect(url_for(".index"))


def _page(text: str) -> ResponseReturnValue:
    before = _day(text)
    error = f"“{text[:40]}” is no day; write one as 2026-11-30." if text and before is None else ""
    page = render_template(
        "office/photos.html",
        page=photos_page(now_ms()),
        room=photo_room(current_app.config["FLOOR"]),
        before=text,
        old=None if before is None else old_photos(day_start_ms(before)),
        error=error,
    )
    return page, 422 if error else 200


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
