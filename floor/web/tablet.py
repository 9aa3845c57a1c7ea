"""The operator's pages: home, job, run; and what a run page asks for while it is open."""

from __future__ import annotations

from flask import Blueprint, Response, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.domain.events import UNKEEPABLE
from floor.domain.ticket import CodeMistyped, read_code, read_ticket
from floor.queries import pictures, tablet, tablet_job, tablet_run
from floor.services.people import check_password
from floor.web import errors
from floor.web.authority import make_token
from floor.web.bodies import json_body
from floor.web.tablet_pages import dressed, is_demo, job_or_missing

blueprint = Blueprint("tablet", __name__)

PICTURE_SECONDS = 86_400


@blueprint.get("/tablet")
def home() -> ResponseReturnValue:
    return render_template("tablet/home.html", page=dressed(tablet.home(is_demo())))


@blueprint.get("/tablet/ticket")
def typed() -> ResponseReturnValue:
    """A code as it was typed or scanned: to its job, or home again with what is wrong with it."""
    text = request.args.get("typed", "")[:300]
    try:
        code, number = read_ticket(text)
        job_or_missing(code)
    except (CodeMistyped, errors.Missing, errors.Gone) as wrong:
        sentence = wrong.description if isinstance(wrong, (errors.Missing, errors.Gone)) else str(wrong)
        page = dressed(tablet.home(is_demo())) | {"error": sentence, "typed": text}
        return render_template("tablet/home.html", page=page), 404
    return redirect(url_for(".job", code=code, number=number))


@blueprint.get("/t/<code>/<int:number>")
@blueprint.get("/t/<code>")
@blueprint.get("/T/<code>/<int:number>")
@blueprint.get("/T/<code>")
def job(code: str, number: int | None = None) -> ResponseReturnValue:
    row = job_or_missing(read_code(code))
    return render_template("tablet/job.html", page=dressed(tablet_job.job(row, number)))


@blueprint.get("/tablet/run/<uuid:run>")
def run(run: object) -> ResponseReturnValue:
    return render_template("tablet/run.html", page=_run_page(str(run)))


@blueprint.get("/tablet/run/<uuid:run>.json")
def run_json(run: object) -> ResponseReturnValue:
    return jsonify(_run_page(str(run)))


@blueprint.get("/tablet/picture/<code>/<int:revision>/<section>/<int:phase>.svg")
def picture(code: str, revision: int, section: str, phase: int) -> ResponseReturnValue:
    svg = pictures.phase_svg(
        job_or_missing(read_code(code), removed=True), revision, section, phase, request.args
    )
    return _svg(svg)


@blueprint.get("/tablet/picture/<code>/<int:revision>/closed.svg")
def closed_picture(code: str, revision: int) -> ResponseReturnValue:
    return _svg(
        pictures.closed_svg(
            job_or_missing(read_code(code), removed=True), revision, request.args.get("size", "")
        )
    )


@blueprint.post("/tablet/authority")
def authority() -> ResponseReturnValue:
    """A supervisor's name and password, typed at the tablet, for a token that signs one answer."""
    body = json_body()
    name, password = (body.get("name"), body.get("password")) if isinstance(body, dict) else (None, None)
    if not isinstance(name, str) or not isinstance(password, str):
        return errors.answer(400, "NoPassword", "Send the supervisor's name and password.")
    person = None if UNKEEPABLE.search(name + password) else check_password(name, password)
    if person is None:
        return errors.answer(403, "WrongPassword", "Name and password do not belong together; type it again.")
    return jsonify(token=make_token(person.name), name=person.name)


def _run_page(run: str) -> tablet.Page:
    page = tablet_run.run(run)
    if page is None:
        raise errors.Missing("No such run has reached the server yet; go to the tablet's first page.")
    return dressed(page)


def _svg(svg: str | None) -> ResponseReturnValue:
    if svg is None:
        raise errors.Missing("There is no such picture.")
    return Response(
        svg, mimetype="image/svg+xml", headers={"Cache-Control": f"private, max-age={PICTURE_SECONDS}"}
    )
