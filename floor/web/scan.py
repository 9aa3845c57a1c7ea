"""The page that reads a ticket with the tablet's camera."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

blueprint = Blueprint("scan", __name__)


@blueprint.get("/tablet/scan")
def page() -> ResponseReturnValue:
    return render_template("tablet/scan.html", page={"screen": "scan"})
