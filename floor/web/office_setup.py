"""Setting a job up with no file at hand: drafts that keep what is typed, and the plan that it makes."""

from __future__ import annotations

from time import perf_counter

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    jsonify,
    redirect,
    render_template,
    request,
    url_for,
)
from flask.typing import ResponseReturnValue

from floor.domain.job import HouseRules
from floor.domain.ticket import read_code
from floor.jobfile.form_layers import add_layer, layer_count, move_layer, remove_layer
from floor.jobfile.zipped import job_zip
from floor.queries.drafts import find_draft, read_draft
from floor.queries.office.setup import start_page
from floor.queries.office.setup_page import SetupPage
from floor.queries.office.setup_plan import drawn_before, picture_of
from floor.queries.office.setup_reading import page_of, preview
from floor.queries.planned import NothingToSew
from floor.queries.views import find_job
from floor.services.drafts import (
    DraftOvertaken,
    DraftUnfinished,
    draft_from_job,
    drop_draft,
    new_draft,
    save_as_job,
    save_form,
    save_outline,
    take_up_draft,
)
from floor.services.jobs import AlreadyImported, RevisionRefused
from floor.store.models import DraftRow
from floor.web import errors
from floor.web.clock import now_ms
from floor.web.sign_in import NO_UNDO, signed_in_name

blueprint = Blueprint("setup", __name__)

NOT_OF_THE_FORM = ("seen", "tried", "deed")
PICTURE_SECONDS = 3600
REFUSALS = (DraftUnfinished, DraftOvertaken, NothingToSew, AlreadyImported, RevisionRefused)


@blueprint.get("/setup")
def start() -> ResponseReturnValue:
    page = start_page(now_ms(), request.args.get("find", "")[:100])
    return render_template("office/setup_start.html", start=page)


@blueprint.post("/setup")
def new() -> ResponseReturnValue:
    draft = new_draft(request.form.get("route", ""), signed_in_name(), now_ms())
    return redirect(url_for(".edit", draft=draft.id))


@blueprint.post("/jobs/<code>/again")
def again(code: str) -> ResponseReturnValue:
    """A new order like this job."""
    draft = draft_from_job(read_code(code), signed_in_name(), now_ms(), change=False)
    return redirect(url_for(".edit", draft=draft.id))


@blueprint.post("/jobs/<code>/change")
def change(code: str) -> ResponseReturnValue:
    """A new revision of this job."""
    draft = draft_from_job(read_code(code), signed_in_name(), now_ms(), change=True)
    return redirect(url_for(".edit", draft=draft.id))


@blueprint.get("/jobs/<code>/file")
def job_file(code: str) -> ResponseReturnValue:
    """The job's newest revision as a job file with its outline."""
    row = find_job(read_code(code))
    if row is None:
        raise errors.Missing("There is no job with that code in this shop; look at the list of jobs.")
    newest = row.revisions[-1]
    return _zip(row.title, job_zip(row.title, newest.job_text, newest.outline_name, newest.outline_text))


@blueprint.get("/setup/<int:draft>")
def edit(draft: int) -> ResponseReturnValue:
    row = _draft(draft)
    if row.dropped_at is not None:
        flash("That draft was dropped, or saved as a job.", NO_UNDO)
        return redirect(url_for("office.jobs.job", code=row.job.code) if row.job else url_for(".start"))
    return render_template("office/setup.html", page=page_of(row, _house()))


@blueprint.post("/setup/<int:draft>")
def redraw(draft: int) -> ResponseReturnValue:
    """Keep what was typed and show the page again, for a browser without script."""
    _keep(draft)
    return redirect(url_for(".edit", draft=draft))


@blueprint.post("/setup/<int:draft>/draw.json")
def draw(draft: int) -> ResponseReturnValue:
    """Keep what was typed; what is wrong with it and the plan it makes, for the page to show."""
    begun = perf_counter()
    before = _draft(draft).changed_at
    row = _keep(draft)
    elsewhere = ""
    if request.form.get("seen", "") not in ("", str(before)):
        elsewhere = (
            "This draft was also typed in on another page; what stands on this one now is what is kept."
        )
    answer = jsonify(
        _drawn(page_of(row, _house(), tried=bool(request.form.get("tried")), elsewhere=elsewhere))
    )
    answer.headers["Server-Timing"] = f"draw;dur={1000 * (perf_counter() - begun):.1f}"
    return answer


def _drawn(page: SetupPage) -> dict[str, object]:
    parts = {"part-outline": render_template("office/setup_outline.html", page=page)}
    if page.opens:
        parts["part-sizes"] = render_template("office/setup_sizes.html", page=page)
    return {
        "seen": page.seen,
        "faults": page.faults,
        "listed": page.listed,
        "summaries": page.summaries,
        "words": {
            "elsewhere": page.elsewhere,
            "why-no-plan": page.why_no_preview,
            "part-understood": page.understood,
            "part-missing": page.missing,
        },
        "parts": parts,
        "stale": page.stale,
        "preview": render_template("office/setup_preview.html", page=page) if page.preview else None,
    }


@blueprint.post("/setup/<int:draft>/layers")
def layers(draft: int) -> ResponseReturnValue:
    """One layer more, one less, or two that change places."""
    form = dict(_keep(draft).form)
    deed, _, number = request.form.get("deed", "").partition(" ")
    index = int(number) if number.isascii() and number.isdigit() and len(number) < 3 else -1
    if deed == "add":
        form = add_layer(form)
    elif deed == "remove":
        form = remove_layer(form, index)
    elif deed in ("up", "down"):
        form = move_layer(form, index, up=deed == "up")
    save_form(draft, form, now_ms())
    anchor = f"layer-{layer_count(form) - 1}" if deed == "add" else "layers"
    return redirect(url_for(".edit", draft=draft, _anchor=anchor))


@blueprint.post("/setup/<int:draft>/save")
def save(draft: int) -> ResponseReturnValue:
    if _draft(draft).dropped_at is None:
        _keep(draft)
    try:
        row = save_as_job(draft, signed_in_name(), now_ms(), _house())
    except REFUSALS as why:
        refused = "" if isinstance(why, DraftUnfinished) else str(why)
        page = page_of(_draft(draft), _house(), tried=True, refused=refused)
        return render_template("office/setup.html", page=page), 422
    number = len(row.revisions)
    done = "is here; print its ticket and it can start" if number == 1 else f"is now revision {number}"
    flash(f'"{row.title}" {done}.', NO_UNDO)
    return redirect(url_for("office.jobs.job", code=row.code))


@blueprint.post("/setup/<int:draft>/drop")
def drop(draft: int) -> ResponseReturnValue:
    drop_draft(draft, now_ms())
    flash("The draft is dropped.", url_for(".take_up", draft=draft))
    return redirect(url_for(".start"))


@blueprint.post("/setup/<int:draft>/take-up")
def take_up(draft: int) -> ResponseReturnValue:
    take_up_draft(draft, now_ms())
    return redirect(url_for(".edit", draft=draft))


@blueprint.get("/setup/<int:draft>/file")
def draft_file(draft: int) -> ResponseReturnValue:
    """The draft as a job file, once it is one."""
    row = _draft(draft)
    reading = read_draft(row)
    if reading.job is None:
        flash("It is no job file yet: something is still missing or wrong.", NO_UNDO)
        return redirect(url_for(".edit", draft=draft))
    name = reading.job.title
    return _zip(name, job_zip(name, reading.toml_text, reading.job.design.outline, row.outline_text))


@blueprint.get("/setup/<int:draft>/picture/<version>/<kind>.svg")
def picture(draft: int, version: str, kind: str) -> ResponseReturnValue:
    plan = drawn_before(version)
    if plan is None:  # another process has drawn it, or it was long ago
        preview(read_draft(_draft(draft)), _house())
        plan = drawn_before(version)
    svg = picture_of(plan, kind, request.args.get("size", "")) if plan else None
    if svg is None:
        raise errors.Missing("There is no such picture of this draft any more.")
    return Response(
        svg, mimetype="image/svg+xml", headers={"Cache-Control": f"private, max-age={PICTURE_SECONDS}"}
    )


def _house() -> HouseRules:
    rules: HouseRules = current_app.config["FLOOR"].house
    return rules


def _draft(number: int) -> DraftRow:
    row = find_draft(number)
    if row is None:
        raise errors.Missing("There is no such draft; look at the list of drafts.")
    return row


def _keep(number: int) -> DraftRow:
    """Keep all that the form sent. A field that the page did not show stays as it is: two pages may differ."""
    typed = {key: text for key, text in request.form.items() if key not in NOT_OF_THE_FORM}
    # A browser ends the lines of a text box with two characters.
    form = {**_draft(number).form, **{key: text.replace("\r\n", "\n") for key, text in typed.items()}}
    row = save_form(number, form, now_ms())
    outline = request.files.get("outline")
    if outline is not None and outline.filename:
        row = save_outline(number, outline.filename, outline.read(), now_ms())
    return row


def _zip(title: str, content: bytes) -> Response:
    answer = Response(content, mimetype="application/zip")
    answer.headers.set("Content-Disposition", "attachment", filename=f"{title}.zip")
    return answer
