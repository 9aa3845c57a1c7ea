"""Where tablets send their events."""

from __future__ import annotations

from flask import Blueprint, abort, jsonify, request
from flask.typing import ResponseReturnValue

from floor.services.intake import BatchRefused, take_batch
from floor.web.authority import read_token
from floor.web.bodies import json_body
from floor.web.clock import now_ms

blueprint = Blueprint("sync", __name__)


@blueprint.post("/sync")
def sync() -> ResponseReturnValue:
    if not request.is_json:
        abort(415)
    body = json_body()
    if body is None:
        raise BatchRefused("The batch is not JSON; send an object with device, sent_at and events.")
    now = now_ms()
    taken = take_batch(body, now, read_token)
    return jsonify(
        server_time=now,
        results=[vars(answer) for answer in taken.answers],
        newest=taken.newest,
        wanted=taken.wanted,
    )
