"""Jobs: the list, a job, its time log, its runs; removing and putting back; approving a first piece."""

from __future__ import annotations

from uuid import uuid4

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from floor.domain.ticket import read_code
from floor.queries.office.counts import counts_of
from floor.queries.office.job import job_page
from floor.queries.office.jobs import job_lines, removed_lines
from floor.queries.office.minutes import minutes_chart
from floor.queries.office.photos import run_photos
from floor.queries.office.run import run_page
from floor.queries.office.spent import fates_of, what_it_took
from floor.queries.office.stops import stop_lines
from floor.queries.office.timelog import time_log_of
from floor.queries.plan_pictures import plan_svg
from floor.queries.views import JobView, find_job, job_view
from floor.services.intake import NotOwed, approve_from_office
from floor.services.jobs import remove_job, restore_job
from floor.web import errors
from floor.web.clock import now_ms
from floor.web.sign_in import NO_UNDO, signed_in_name

blueprint = Blueprint("jobs", __name__)


def view_or_missing(code: str) -> JobView:
    """The job of a ticket's code; a page that says so where there is none."""
    row = find_job(read_code(code))
    if row is None:
        raise errors.Missing("There is no job with that code in this shop; look at the list of jobs.")
    return job_view(row)


@blueprint.get("/jobs")
def index() -> ResponseReturnValue:
    return render_template("office/jobs.html", jobs=job_lines(now_ms()), removed=removed_lines())


@blueprint.get("/jobs/<code>")
def job(code: str) -> ResponseReturnValue:
    page = job_page(view_or_missing(code), now_ms(), request.args.get("size", ""))
    return render_template("office/job.html", job=page)


@blueprint.get("/jobs/<code>/<int:revision>/<what>.svg")
def picture(code: str, revision: int, what: str) -> ResponseReturnValue:
    row = find_job(read_code(code))
    svg = plan_svg(row, revision, what, request.args.get("size", "")) if row else None
    if svg is None:
        raise errors.Missing("There is no such picture of a job here.")
    return Response(svg, mimetype="image/svg+xml")


@blueprint.get("/jobs/<code>/time")
def time(code: str) -> ResponseReturnValue:
    view = view_or_missing(code)
    log = time_log_of(view.row, {garment.number: garment.size for garment in view.job.garments})
    fates = fates_of(view.row.id)
    return render_template(
        "office/time.html",
        job=view.row,
        piece=view.route.piece,
        counts=counts_of(view.progress),
        chart=minutes_chart(view, fates),
        took=what_it_took(view, log, fates),
        stops=stop_lines(view.row.id, now_ms()),
        log=log,
        fates=fates,
    )


@blueprint.post("/jobs/<code>/remove")
def remove(code: str) -> ResponseReturnValue:
    row = remove_job(read_code(code), signed_in_name(), now_ms())
    flash(f'"{row.title}" is off the lists; its log is kept.', url_for(".restore", code=row.code))
    return redirect(url_for(".index"))


@blueprint.post("/jobs/<code>/restore")
def restore(code: str) -> ResponseReturnValue:
    row = restore_job(read_code(code))
    flash(f'"{row.title}" is back on the lists.', NO_UNDO)
    return redirect(url_for(".job", code=row.code))


@blueprint.get("/runs/<uuid:run>")
def run(run: object) -> ResponseReturnValue:
    page = run_page(str(run))
    if page is None:
        raise errors.Missing("No such run has reached the server; a tablet may still hold it unsent.")
    return render_template("office/run.html", run=page, photos=run_photos(page.run, now_ms()))


@blueprint.post("/runs/<uuid:run>/approve")
def approve(run: object) -> ResponseReturnValue:
    """The first piece is good. Back to where the button was."""
    try:
        answer = approve_from_office(str(run), signed_in_name(), now_ms(), str(uuid4()))
        said = "The first piece is approved; the batch can go on."
        flash(said if answer.verdict == "applied" else answer.reason, NO_UNDO)
    except NotOwed as too_late:
        flash(str(too_late), NO_UNDO)
    return redirect(
        url_for(".run", run=run) if request.form.get("from") == "run" else url_for("office.floor")
    )
