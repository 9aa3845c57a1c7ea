"""Pictures from the tablets: each is put here once, at an address of its own, and shown on its run's page."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, jsonify, request
from flask.typing import ResponseReturnValue

from floor.domain.events import UUID
from floor.domain.photo import MAX_SENT_BYTES
from floor.queries.photos import photo_jpeg, photo_room
from floor.services.photo_bytes import PhotoTooLarge
from floor.services.photos import Sent, keep_photo
from floor.web import errors
from floor.web.clock import now_ms

blueprint = Blueprint("photos", __name__)

FOR_EVER_SECONDS = 31_536_000  # a picture never changes


@blueprint.put("/tablet/photo/<uuid:photo>")
def put(photo: object) -> ResponseReturnValue:
    """The bytes of a picture; `run` and `device` in the address say whose it is. The same again is no harm."""
    run, device = request.args.get("run", ""), request.args.get("device", "")
    if not UUID.fullmatch(run) or not UUID.fullmatch(device):
        return errors.answer(400, "NoRun", "A picture's address must name its run and its device.")
    if (request.content_length or 0) > MAX_SENT_BYTES:
        raise PhotoTooLarge
    sent = Sent(str(photo), run, device, request.get_data())
    settings = current_app.config["FLOOR"]
    is_new = keep_photo(sent, now_ms(), lambda: photo_room(settings))
    return jsonify(photo=sent.id, kept=True), 201 if is_new else 200


@blueprint.get("/tablet/photo/<uuid:photo>.jpg")
def get(photo: object) -> ResponseReturnValue:
    return jpeg_response(str(photo))


def jpeg_response(photo: str) -> Response:
    data = photo_jpeg(photo)
    if data is None:
        raise errors.Missing("This picture is not here: it has not come yet, or it was deleted to make room.")
    kept = {"Cache-Control": f"private, max-age={FOR_EVER_SECONDS}, immutable"}
    return Response(data, mimetype="image/jpeg", headers=kept)
