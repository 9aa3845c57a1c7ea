"""The operator's one document, which shows home, job and run by their addresses; and what it asks for while open."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, Response, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.domain.events import UNKEEPABLE
from floor.domain.ticket import CodeMistyped, read_code, read_ticket
from floor.queries import pictures, tablet, tablet_job, tablet_run
from floor.services.people import check_password
from floor.store.models import JobRow
from floor.web import errors
from floor.web.authority import make_token
from floor.web.bodies import json_body
from floor.web.tablet_pages import dressed, is_demo, job_or_missing

blueprint = Blueprint("tablet", __name__)

PICTURE_SECONDS = 86_400
LONGEST_TYPED = 300


NOT_HERE = (CodeMistyped, errors.Missing, errors.Gone)


@blueprint.get("/tablet")
def home() -> ResponseReturnValue:
    return _document(_home_page)


@blueprint.get("/tablet/shell")
def shell() -> ResponseReturnValue:
    """The document without a page: the tablet finds out by the address which one to show."""
    return _document(lambda: {"screen": ""})


@blueprint.get("/tablet/ticket")
def typed() -> ResponseReturnValue:
    """A code as it was typed or scanned: to its job, or home again with what is wrong with it."""
    text = request.args.get("typed", "")[:LONGEST_TYPED]
    try:
        row, number = _ticket_job(text)
    except NOT_HERE as wrong:
        page = _home_page() | {"error": _sentence(wrong), "typed": text}
        return render_template("tablet/tablet.html", page=page), 404
    return redirect(url_for(".job", code=row.code, number=number))


@blueprint.get("/tablet/ticket.json")
def typed_json() -> ResponseReturnValue:
    """The page of the job whose ticket was typed or scanned."""
    return jsonify(_job_page(*_ticket_job(request.args.get("typed", "")[:LONGEST_TYPED])))


@blueprint.get("/t/<code>/<int:number>")
@blueprint.get("/t/<code>")
@blueprint.get("/T/<code>/<int:number>")
@blueprint.get("/T/<code>")
def job(code: str, number: int | None = None) -> ResponseReturnValue:
    return _document(lambda: _job_page(job_or_missing(read_code(code)), number))


@blueprint.get("/tablet/run/<uuid:run>")
def run(run: object) -> ResponseReturnValue:
    return _document(lambda: _run_page(str(run)))


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


def _document(make: Callable[[], tablet.Page]) -> ResponseReturnValue:
    """The one document with that page in it. What is not here is said in it, under the status that says so too: a run
    that was begun without a server is known to its tablet alone."""
    try:
        page, status = make(), 200
    except NOT_HERE as wrong:
        page = dressed({"screen": "lost", "error": _sentence(wrong)})
        status = 400 if isinstance(wrong, CodeMistyped) else wrong.code or 404
    return render_template("tablet/tablet.html", page=page), status


def _sentence(wrong: CodeMistyped | errors.Missing | errors.Gone) -> str:
    return str(wrong) if isinstance(wrong, CodeMistyped) else str(wrong.description)


def _home_page() -> tablet.Page:
    return dressed(tablet.home(is_demo()))


def _job_page(row: JobRow, number: int | None) -> tablet.Page:
    return dressed(tablet_job.job(row, number))


def _ticket_job(text: str) -> tuple[JobRow, int | None]:
    """The job of a ticket as it was typed or scanned, and the garment's number if the ticket names one."""
    code, number = read_ticket(text)
    return job_or_missing(code), number


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
