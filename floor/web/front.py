"""The first page, which in the demo offers both seats, and the help."""

from __future__ import annotations

from flask import Blueprint, current_app, redirect, render_template
from flask.typing import ResponseReturnValue

from floor.queries.office.jobs import first_job_view
from floor.queries.office.people import first_supervisor
from floor.queries.ticket import ticket_page
from floor.ticket_page import ticket_qr
from floor.web.tickets import address

blueprint = Blueprint("front", __name__)


@blueprint.get("/")
def first() -> ResponseReturnValue:
    if not current_app.config["FLOOR"].demo:
        return redirect("/tablet")
    view = first_job_view()
    return render_template(
        "front.html",
        ticket=ticket_page(view) if view else None,
        qr=ticket_qr(address(), view.row.code) if view else None,
        supervisor=first_supervisor(),
    )


@blueprint.get("/help")
def help_page() -> str:
    return render_template("help/help.html")
