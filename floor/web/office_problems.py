"""Problems."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from floor.queries.office.photos import photos_of_problems
from floor.queries.office.photos_page import photo_count
from floor.queries.office.problems import (
    job_choices,
    kind_choices,
    problem_lines,
)
from floor.queries.office.set_aside import open_count
from floor.web.clock import now_ms

blueprint = Blueprint("problems", __name__)


@blueprint.get("/problems")
def index() -> ResponseReturnValue:
    kind, job = request.args.get("kind", ""), request.args.get("job", "")
    now = now_ms()
    problems = problem_lines(now, kind, job)
    return render_template(
        "office/problems.html",
        problems=problems,
        photos=photos_of_problems((line.run for line in problems), now),
        photo_count=photo_count(),
        kinds=kind_choices(),
        jobs=job_choices(),
        kind=kind,
        job=job,
        aside=open_count(),
    )
