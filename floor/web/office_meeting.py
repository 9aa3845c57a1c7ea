"""How the halves meet: the page that says whether, since when, where from, and how far it was foretold."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from floor.queries.office.meeting import meeting_page
from floor.queries.office.meeting_rows import Asked
from floor.queries.office.meeting_words import share_words
from floor.web.clock import now_ms
from floor.web.sign_in import supervisor_required

blueprint = Blueprint("meeting", __name__, url_prefix="/office/meeting")
blueprint.before_request(supervisor_required)
blueprint.add_app_template_filter(share_words, "share")


@blueprint.get("")
def index() -> ResponseReturnValue:
    return render_template("office/meeting.html", page=meeting_page(Asked.read(request.args), now_ms()))
