"""Errors -> statuses, and one shape for all: a page with one sentence, or {"error": {"kind", "message"}}."""

from __future__ import annotations

import logging
from collections.abc import Callable

from flask import Flask, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.exc import OperationalError
from werkzeug.exceptions import HTTPException

from floor.domain.ticket import CodeMistyped
from floor.queries.planned import NothingToSew
from floor.queries.shop_routes import UnknownRoute
from floor.services.drafts import DraftTooLarge, UnknownDraft
from floor.services.intake import BatchRefused, NotOwed
from floor.services.jobs import AlreadyImported, RevisionRefused, UnknownJob
from floor.services.photo_bytes import NotAPhoto, PhotoTooLarge, PhotoUnreadable
from floor.services.photos import NoRoomForPhotos, OtherPhoto, TooManyPhotos
from floor.services.settling import UnknownTap
from floor.web.database_faults import BUSY, fault_of

log = logging.getLogger("floor")

SENTENCES = {
    400: "The request could not be read; go back and try again.",
    404: "There is no such page here; the address may have been typed wrongly.",
    405: "This address cannot be used that way; go back and use the button on the page.",
    413: "What was sent is too large; a job file with its outline may have 6 MB.",
    415: "What was sent is of the wrong kind; a tablet's events come as JSON.",
    500: "Something went wrong in Floor itself; what was saved before is safe. Try again, and tell who looks after it.",
    503: BUSY.message,
}

STATUSES: tuple[tuple[type[Exception], int], ...] = (
    (BatchRefused, 400),
    (CodeMistyped, 400),
    (NotOwed, 409),
    (AlreadyImported, 409),
    (RevisionRefused, 409),
    (NothingToSew, 422),
    (UnknownJob, 404),
    (UnknownDraft, 404),
    (UnknownTap, 404),
    (UnknownRoute, 404),
    (DraftTooLarge, 413),
    (OtherPhoto, 409),
    (TooManyPhotos, 409),
    (PhotoTooLarge, 413),
    (NotAPhoto, 415),
    (PhotoUnreadable, 422),
    (NoRoomForPhotos, 507),
)


class Gone(HTTPException):
    code = 410


class Missing(HTTPException):
    """A page of something that is not here, with its own sentence."""

    code = 404


def register(app: Flask) -> None:
    for error, status in STATUSES:
        app.register_error_handler(error, _named(status))
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(OperationalError, _unanswered)
    app.register_error_handler(Exception, _unforeseen)


def wants_json() -> bool:
    return (
        request.is_json
        or request.path.endswith(".json")
        or request.path == "/sync"
        or request.method == "PUT"
    )


def answer(status: int, kind: str, message: str) -> ResponseReturnValue:
    if wants_json():
        return jsonify({"error": {"kind": kind, "message": message}}), status
    return render_template("errors/error.html", status=status, message=message), status


def _named(status: int) -> Callable[[Exception], ResponseReturnValue]:
    def handle(error: Exception) -> ResponseReturnValue:
        return answer(status, type(error).__name__, str(error))

    return handle


def _http(error: HTTPException) -> ResponseReturnValue:
    status = error.code or 500
    if status < 400:
        return error.get_response()
    own = isinstance(error, (Gone, Missing)) and error.description
    message = str(own) if own else SENTENCES.get(status, SENTENCES[400 if status < 500 else 500])
    return answer(status, error.name.replace(" ", ""), message)


def _unanswered(error: OperationalError) -> ResponseReturnValue:
    fault = fault_of(error)
    if fault.passing:
        log.warning("the database was busy for too long: %s %s", request.method, request.path)
    else:
        log.exception("the database failed: %s", fault.kind)
    return answer(503, fault.kind, fault.message)


def _unforeseen(error: Exception) -> ResponseReturnValue:
    log.exception("unforeseen error")
    return answer(500, "Unforeseen", SENTENCES[500])
