"""The tablet's pages as JSON, and what it holds of the shop for when no server answers."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, jsonify, request
from flask.typing import ResponseReturnValue

from floor.domain.ticket import read_code
from floor.queries import tablet, tablet_held, tablet_job
from floor.web.tablet_pages import dressed, is_demo, job_or_missing

blueprint = Blueprint("held", __name__)


@blueprint.get("/tablet/home.json")
def home() -> ResponseReturnValue:
    return jsonify(dressed(tablet.home(is_demo())))


@blueprint.get("/tablet/job/<code>.json")
def job(code: str) -> ResponseReturnValue:
    garment = request.args.get("garment", type=int)
    return jsonify(dressed(tablet_job.job(job_or_missing(read_code(code)), garment)))


@blueprint.get("/tablet/held.json")
def held() -> ResponseReturnValue:
    return _unless_known(tablet_held.held() | {"demo": is_demo()})


@blueprint.get("/tablet/held/<code>.json")
def bundle(code: str) -> ResponseReturnValue:
    return _unless_known(tablet_held.bundle(job_or_missing(read_code(code), removed=True)))


@blueprint.get("/tablet/held/<code>/pictures.json")
def pictures(code: str) -> ResponseReturnValue:
    return _unless_known(tablet_held.pictures(job_or_missing(read_code(code), removed=True)))


def _unless_known(page: dict[str, Any]) -> ResponseReturnValue:
    """The page, or only that it is still as the tablet has it."""
    response = jsonify(page)
    response.add_etag()
    response.headers["Cache-Control"] = "private, no-cache"
    response.make_conditional(request)
    return response
