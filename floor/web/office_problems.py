"""Problems, and what was set aside or refused."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from floor.queries.office.photos import photos_of_problems
from floor.queries.office.photos_page import photo_count
from floor.queries.office.problems import (
    aside_count,
    aside_lines,
    job_choices,
    kind_choices,
    problem_lines,
    refusal_lines,
)
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
        aside=aside_count(),
    )


@blueprint.get("/set-aside")
def set_aside() -> ResponseReturnValue:
    return render_template("office/set_aside.html", aside=aside_lines(), refusals=refusal_lines())
