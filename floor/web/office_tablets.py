"""The page of the tablets: what each has sent, what is missing of it, and its clock."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from floor.queries.office.tablets import lead_words, tablet_lines
from floor.web.clock import now_ms

blueprint = Blueprint("tablets", __name__)


@blueprint.get("/tablets")
def index() -> ResponseReturnValue:
    tablets = tablet_lines(now_ms())
    return render_template("office/tablets.html", tablets=tablets, lead=lead_words(tablets))
