"""Signing in and out, and the guard that keeps a supervisor's pages for supervisors."""

from __future__ import annotations

from flask import (
    Blueprint,
    current_app,
    g,
    has_request_context,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask.typing import ResponseReturnValue

from floor.queries.office.people import first_supervisor, supervisors
from floor.services.people import check_password
from floor.store.models import Person, db
from floor.web import errors

blueprint = Blueprint("sign_in", __name__, url_prefix="/office")

PERSON = "person"
NO_UNDO = ""
"""The category of a flashed sentence is the address whose POST takes the deed back; this one cannot be."""


def current_supervisor() -> Person | None:
    """Who is signed in, if still a supervisor who is active; None otherwise and outside a request."""
    if not has_request_context() or PERSON not in session:
        return None
    if "supervisor" not in g:
        person = db.session.get(Person, session[PERSON])
        g.supervisor = person if person and person.active and person.supervisor else None
    found: Person | None = g.supervisor
    return found


def signed_in_name() -> str:
    """The name for the log, on a page that `supervisor_required` guards."""
    person = current_supervisor()
    if person is None:
        raise errors.Missing("Nobody is signed in; sign in first.")
    return person.name


def supervisor_required() -> ResponseReturnValue | None:
    """For `Blueprint.before_request`: to the sign-in page unless a supervisor is signed in, and back after it."""
    if current_supervisor() is None:
        wanted = request.full_path.rstrip("?") if request.method == "GET" else None
        return redirect(url_for("sign_in.page", next=wanted))
    return same_origin_required()


def same_origin_required() -> ResponseReturnValue | None:
    """A form that another site's page sends in a supervisor's name is refused."""
    origin = request.headers.get("Origin")
    if request.method != "POST" or origin is None:
        return None
    own = {request.host, current_app.config["FLOOR"].address.partition("://")[2]}
    if origin.partition("://")[2] in own - {""}:
        return None
    return errors.answer(
        403, "OtherOrigin", "This form came from another site; use the page in Floor itself."
    )


def safe_next(wanted: str | None) -> str:
    """`wanted` if it is an address within Floor's office, else the office's first page."""
    home = url_for("office.floor")
    if not wanted or not wanted.startswith(home) or "\\" in wanted or not wanted.isprintable():
        return home
    return wanted


@blueprint.app_context_processor
def who_is_signed_in() -> dict[str, object]:
    return {"current_supervisor": current_supervisor, "demo": current_app.config["FLOOR"].demo}


@blueprint.before_request
def check_origin() -> ResponseReturnValue | None:
    return same_origin_required()


@blueprint.get("/sign-in")
def page() -> ResponseReturnValue:
    if current_supervisor() is not None:
        return redirect(safe_next(request.args.get("next")))
    return _form()


@blueprint.post("/sign-in")
def sign_in() -> ResponseReturnValue:
    name = " ".join(request.form.get("name", "").split())
    person = check_password(name, request.form.get("password", ""))
    if person is None:
        return _form(name, "Name and password do not belong together; type both again."), 403
    return _welcome(person)


@blueprint.post("/demo-sign-in")
def demo_sign_in() -> ResponseReturnValue:
    """One tap, in the demo alone: its supervisor has no secret to keep."""
    person = first_supervisor() if current_app.config["FLOOR"].demo else None
    if person is None:
        raise errors.Missing(
            "Only the demo lets a supervisor in with one tap; sign in with name and password."
        )
    return _welcome(person)


@blueprint.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    session.clear()
    return redirect(url_for("sign_in.page"))


def _welcome(person: Person) -> ResponseReturnValue:
    session.clear()
    session[PERSON] = person.id
    return redirect(safe_next(request.form.get("next")))


def _form(name: str = "", error: str = "") -> str:
    return render_template(
        "office/sign_in.html",
        name=name,
        error=error,
        next=request.values.get("next", ""),
        nobody=not any(person.password_hash for person in supervisors()),
    )
