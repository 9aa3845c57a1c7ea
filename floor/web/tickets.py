"""The printed ticket."""

from __future__ import annotations

from flask import Blueprint, current_app, request
from flask.typing import ResponseReturnValue

from floor.ticket_page import ticket_html
from floor.web.office_jobs import view_or_missing
from floor.web.sign_in import supervisor_required

blueprint = Blueprint("tickets", __name__, url_prefix="/office")
blueprint.before_request(supervisor_required)


def address() -> str:
    """What a ticket's QR code begins with: the shop's setting, or the address this page was asked at."""
    setting: str = current_app.config["FLOOR"].address
    return setting or request.host_url.rstrip("/")


@blueprint.get("/jobs/<code>/ticket")
def ticket(code: str) -> ResponseReturnValue:
    return ticket_html(view_or_missing(code), address(), standalone=False)
