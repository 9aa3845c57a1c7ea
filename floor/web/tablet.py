"""The operator's pages: home, job, run; and what a run page asks for while it is open."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.domain.events import UNKEEPABLE
from floor.domain.ticket import CodeMistyped, read_code, read_ticket, show_code
from floor.queries import pictures, tablet, tablet_job, tablet_run
from floor.queries.views import find_job
from floor.services.people import check_password
from floor.store.models import JobRow
from floor.web import errors
from floor.web.authority import make_token
from floor.web.bodies import json_body
from floor.web.clock import now_ms

blueprint = Blueprint("tablet", __name__)

PICTURE_SECONDS = 86_400


@blueprint.get("/tablet")
def home() -> ResponseReturnValue:
    return render_template("tablet/home.html", page=_page(tablet.home(_demo())))


@blueprint.get("/tablet/ticket")
def typed() -> ResponseReturnValue:
    """A code as it was typed or scanned: to its job, or home again with what is wrong with it."""
    text = request.args.get("typed", "")[:300]
    try:
        code, number = read_ticket(text)
        _job(code)
    except (CodeMistyped, errors.Missing, errors.Gone) as wrong:
        sentence = wrong.description if isinstance(wrong, (errors.Missing, errors.Gone)) else str(wrong)
        page = _page(tablet.home(_demo())) | {"error": sentence, "typed": text}
        return render_template("tablet/home.html", page=page), 404
    return redirect(url_for(".job", code=code, number=number))


@blueprint.get("/t/<code>/<int:number>")
@blueprint.get("/t/<code>")
@blueprint.get("/T/<code>/<int:number>")
@blueprint.get("/T/<code>")
def job(code: str, number: int | None = None) -> ResponseReturnValue:
    row = _job(read_code(code))
    return render_template("tablet/job.html", page=_page(tablet_job.job(row, number)))


@blueprint.get("/tablet/run/<uuid:run>")
def run(run: object) -> ResponseReturnValue:
    return render_template("tablet/run.html", page=_run_page(str(run)))


@blueprint.get("/tablet/run/<uuid:run>.json")
def run_json(run: object) -> ResponseReturnValue:
    return jsonify(_run_page(str(run)))


@blueprint.get("/tablet/picture/<code>/<int:revision>/<section>/<int:phase>.svg")
def picture(code: str, revision: int, section: str, phase: int) -> ResponseReturnValue:
    svg = pictures.phase_svg(_job(read_code(code), removed=True), revision, section, phase, request.args)
    return _svg(svg)


@blueprint.get("/tablet/picture/<code>/<int:revision>/closed.svg")
def closed_picture(code: str, revision: int) -> ResponseReturnValue:
    return _svg(
        pictures.closed_svg(_job(read_code(code), removed=True), revision, request.args.get("size", ""))
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


def _job(code: str, removed: bool = False) -> JobRow:
    row = find_job(code)
    if row is None:
        raise errors.Missing(
            f"The code {show_code(code)} is well formed, but there is no job with it in this shop; "
            "the ticket may be another shop's."
        )
    if row.removed_at is not None and not removed:
        raise errors.Gone(
            f'{show_code(code)} "{row.title}" was removed by {row.removed_by}; a supervisor can put it back.'
        )
    return row


def _run_page(run: str) -> tablet.Page:
    page = tablet_run.run(run)
    if page is None:
        raise errors.Missing("No such run has reached the server yet; go to the tablet's first page.")
    return _page(page)


def _page(page: tablet.Page) -> tablet.Page:
    return page | {"server_time": now_ms(), "demo": _demo()}


def _demo() -> bool:
    demo: bool = current_app.config["FLOOR"].demo
    return demo


def _svg(svg: str | None) -> ResponseReturnValue:
    if svg is None:
        raise errors.Missing("There is no such picture.")
    return Response(
        svg, mimetype="image/svg+xml", headers={"Cache-Control": f"private, max-age={PICTURE_SECONDS}"}
    )
