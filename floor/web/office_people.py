"""The people and machines of the shop: whose and which names the tablets offer."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.queries.machines import machines
from floor.queries.office.people import people
from floor.services.machines import add_machine, drop_machine
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


@blueprint.post("/people/machines")
def machine() -> ResponseReturnValue:
    name = request.form.get("machine", "")
    try:
        kept = add_machine(name)
    except (NameRefused, NameTaken) as refused:
        return _page(machine=name, machine_error=str(refused)), 422
    flash(f"Tablets can stand at {kept} now; each is told so on its first page.", NO_UNDO)
    return redirect(url_for(".index"))


@blueprint.post("/people/machines/off")
def machine_off() -> ResponseReturnValue:
    name = request.args.get("name", "")
    if not drop_machine(name):
        raise errors.Missing("There is no machine of that name on the list.")
    flash(f"{name} is off the list; the log keeps the name.", url_for(".machine_back", name=name))
    return redirect(url_for(".index"))


@blueprint.post("/people/machines/back")
def machine_back() -> ResponseReturnValue:
    """Undoes taking one off the list."""
    try:
        kept = add_machine(request.args.get("name", ""))
    except (NameRefused, NameTaken) as refused:
        return _page(machine_error=str(refused)), 409
    flash(f"{kept} is on the list again.", NO_UNDO)
    return redirect(url_for(".index"))


def _page(name: str = "", error: str = "", machine: str = "", machine_error: str = "") -> str:
    return render_template(
        "office/people.html",
        here=people(True),
        gone=people(False),
        name=name,
        error=error,
        own=current_supervisor(),
        machines=machines(),
        machine=machine,
        machine_error=machine_error,
    )
