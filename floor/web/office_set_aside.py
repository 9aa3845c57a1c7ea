"""What was set aside: settling it, and taking that back; and what could not be taken as an event at all."""

from __future__ import annotations

from typing import cast
from uuid import uuid4

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.queries.office.problems import refusal_lines
from floor.queries.office.set_aside import MOST_RUNS, aside_runs, open_count, settled_lines, why_not
from floor.services.settling import CannotSettle, How, settle, take_back
from floor.web import errors
from floor.web.clock import now_ms
from floor.web.sign_in import NO_UNDO, signed_in_name

blueprint = Blueprint("set_aside", __name__)


@blueprint.get("/set-aside")
def index() -> ResponseReturnValue:
    runs = aside_runs()[:MOST_RUNS]
    return render_template(
        "office/set_aside.html",
        runs=runs,
        why_not=why_not(runs),
        rest=open_count() - sum(run.count for run in runs),
        settled=settled_lines(),
        refusals=refusal_lines(),
    )


@blueprint.post("/set-aside/<uuid:tap>/settle")
def settle_tap(tap: object) -> ResponseReturnValue:
    """Let it count or keep it as a note, with why. Back to the list, with an undo."""
    how = request.form.get("how")
    if how not in ("apply", "keep"):
        raise errors.Missing("A tap is let count or kept as a note; go back and use one of the two buttons.")
    try:
        done = settle(
            str(tap), cast(How, how), request.form.get("why", ""), signed_in_name(), now_ms(), str(uuid4())
        )
        said = "The tap counts from now on" if how == "apply" else "Kept as a note"
        flash(
            f"{said}; {done.by} had said so already." if done.again else f"{said}.",
            url_for(".take_settling_back", settling=done.event),
        )
    except CannotSettle as refused:
        flash(str(refused), NO_UNDO)
    return redirect(url_for(".index"))


@blueprint.post("/set-aside/<uuid:settling>/take-back")
def take_settling_back(settling: object) -> ResponseReturnValue:
    try:
        take_back(str(settling), signed_in_name(), now_ms(), str(uuid4()))
        flash("It is open again, as it was before.", NO_UNDO)
    except CannotSettle as refused:
        flash(str(refused), NO_UNDO)
    return redirect(url_for(".index"))
