"""The supervisor's pages. All of them lie behind the sign-in: the guard is the blueprint's own."""

from __future__ import annotations

from flask import Blueprint, current_app, render_template
from flask.typing import ResponseReturnValue

from floor.domain.byte_sizes import size_words
from floor.domain.english import plain
from floor.queries.office.jobs import job_lines, runs_going_on
from floor.queries.office.set_aside import open_count
from floor.queries.office.words import clock_words, minute_words
from floor.queries.photos import photo_room
from floor.web import (
    office_export,
    office_import,
    office_jobs,
    office_people,
    office_photos,
    office_problems,
    office_set_aside,
    office_setup,
    office_tablets,
)
from floor.web.clock import now_ms
from floor.web.sign_in import supervisor_required

blueprint = Blueprint("office", __name__, url_prefix="/office")
blueprint.before_request(supervisor_required)
for part in (
    office_jobs,
    office_setup,
    office_import,
    office_problems,
    office_set_aside,
    office_photos,
    office_export,
    office_people,
    office_tablets,
):
    blueprint.register_blueprint(part.blueprint)

blueprint.add_app_template_filter(clock_words, "clock")
blueprint.add_app_template_filter(minute_words, "minutes")
blueprint.add_app_template_filter(plain, "plain")
blueprint.add_app_template_filter(size_words, "bytes")


@blueprint.get("/")
def floor() -> ResponseReturnValue:
    """On the floor: the runs under way now, those that wait for somebody first."""
    now = now_ms()
    return render_template(
        "office/floor.html",
        runs=runs_going_on(now),
        any_job=bool(job_lines(now)),
        aside=open_count(),
        room=photo_room(current_app.config["FLOOR"]),
    )


@blueprint.get("/time-log")
def time_logs() -> ResponseReturnValue:
    """The jobs, for choosing one's time log."""
    return render_template("office/time_logs.html", jobs=job_lines(now_ms()))
