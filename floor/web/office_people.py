"""The people of the shop: who is on the tablets' list of names."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.queries.office.people import people
from floor.services.people import NameRefused, NameTaken, add_person, set_active
from floor.web import errors
from floor.web.sign_in import NO_UNDO, current_supervisor

blueprint = Blueprint("people", __name__)


@blueprint.get("/people")
def index() -> ResponseReturnValue:
    return _page()


@blueprint.post("/people")
def add() -> ResponseReturnValue:
    name = request.form.get("name", "")
    try:
        person = add_person(name, supervisor=False, password=None)
    except (NameRefused, NameTaken) as refused:
        return _page(name, str(refused)), 422
    flash(f"{person.name} is on the list of every tablet now.", NO_UNDO)
    return redirect(url_for(".index"))


@blueprint.post("/people/<int:person>/leave")
def leave(person: int) -> ResponseReturnValue:
    """Off the tablets' list. Nobody can take themselves off: the shop would be locked out of its own office."""
    own = current_supervisor()
    if own is not None and own.id == person:
        return _page(error="You cannot take yourself off the list while you are signed in."), 409
    found = set_active(person, False)
    if found is None:
        raise errors.Missing("There is no such person in this shop.")
    flash(f"{found.name} is off the list; the log keeps the name.", url_for(".back", person=person))
    return redirect(url_for(".index"))


@blueprint.post("/people/<int:person>/back")
def back(person: int) -> ResponseReturnValue:
    found = set_active(person, True)
    if found is None:
        raise errors.Missing("There is no such person in this shop.")
    flash(f"{found.name} is on the list again.", NO_UNDO)
    return redirect(url_for(".index"))


def _page(name: str = "", error: str = "") -> str:
    return render_template(
        "office/people.html",
        here=people(True),
        gone=people(False),
        name=name,
        error=error,
        own=current_supervisor(),
    )
