"""Setting a job up: a draft keeps what is typed, and is saved as a job or as a new revision of one."""

from __future__ import annotations

import re
from collections.abc import Mapping

from floor.domain.job import HouseRules
from floor.domain.outline import MAX_SVG_BYTES
from floor.jobfile import JobSource
from floor.jobfile.form import GARMENTS, Form, form_of, is_field
from floor.jobfile.usual import usual_form
from floor.jobfile.writing import data_of
from floor.queries.drafts import find_draft, read_draft
from floor.queries.shop_routes import shop_route
from floor.queries.views import find_job, plan_of
from floor.services.jobs import UnknownJob, add_job, add_revision
from floor.store.database import writing
from floor.store.models import DraftRow, JobRow, db

MAX_FORM_CHARACTERS = 200_000
MAX_NAME_CHARACTERS = 80


class UnknownDraft(ValueError):
    pass


class DraftTooLarge(ValueError):
    pass


class DraftUnfinished(ValueError):
    """The draft has faults; its page says which."""


class DraftOvertaken(ValueError):
    """The job was changed since the draft was begun; whoever saves once more puts the draft in that one's place."""


def new_draft(route: str, by: str, now_ms: int) -> DraftRow:
    """A draft with all that is usual on this route filled in. Raises UnknownRoute."""
    return _keep(DraftRow(form=usual_form(shop_route(route)), **_made(by, now_ms)))


def draft_from_job(code: str, by: str, now_ms: int, *, change: bool) -> DraftRow:
    """A draft filled from a job's newest revision: to `change` that job, else for a new order like it, which has
    its own day and its own garments. Raises UnknownJob, and UnknownRoute where the shop makes no new jobs so."""
    job = find_job(code)
    if job is None:
        raise UnknownJob("There is no job with that code.")
    newest = job.revisions[-1]
    form = form_of(data_of(newest.job_text))
    if not change:
        shop_route(form["route"])
        form |= {"due": "", GARMENTS: ""}
    # A field that the file left out is there to be filled in, and empty.
    form = {**_emptied(usual_form(plan_of(newest).route), form), **form}
    draft = DraftRow(form=form, **_made(by, now_ms))
    if change:
        draft.job_id, draft.revision = job.id, newest.number
    draft.outline_name, draft.outline_text = newest.outline_name, newest.outline_text
    return _keep(draft)


def save_form(number: int, form: Mapping[str, str], now_ms: int) -> DraftRow:
    """What was typed, kept as it is, right or wrong; the route stays, and what is no field of a form is not kept.
    Raises UnknownDraft and DraftTooLarge."""
    size = sum(len(key) + len(text) for key, text in form.items())
    if size > MAX_FORM_CHARACTERS:
        raise DraftTooLarge(
            f"The form holds {size:,} characters and Floor keeps at most {MAX_FORM_CHARACTERS:,}; "
            "bring a job as large as this in as a job file."
        )
    with writing():
        draft = _open(number)
        typed = {key: text for key, text in form.items() if is_field(key)}
        draft.form = {**typed, "route": draft.form["route"]}
        draft.changed_at = now_ms
    return draft


def save_outline(number: int, name: str, content: bytes, now_ms: int) -> DraftRow:
    """The outline, kept even if it cannot be sewn: its page says why. Raises UnknownDraft and DraftTooLarge."""
    if len(content) > MAX_SVG_BYTES:
        raise DraftTooLarge(
            f"The outline has {len(content) / 1e6:.1f} MB and Floor reads at most {MAX_SVG_BYTES / 1e6:.1f} MB; "
            "take out what is not the outline."
        )
    with writing():
        draft = _open(number)
        draft.outline_name = plain_name(name)
        # What is no UTF-8 is no SVG either, and is told so when it is read.
        draft.outline_text = content.decode("utf-8-sig", "replace").replace("\0", "\ufffd")
        draft.changed_at = now_ms
    return draft


def drop_draft(number: int, now_ms: int) -> DraftRow:
    """Put the draft away; it can be taken up again. Raises UnknownDraft."""
    with writing():
        draft = _open(number)
        draft.dropped_at = now_ms
    return draft


def take_up_draft(number: int, now_ms: int) -> DraftRow:
    """Take a dropped draft up again. Raises UnknownDraft; one that was saved as a job is none any more."""
    with writing():
        draft = find_draft(number)
        if draft is None or _is_saved(draft):
            raise UnknownDraft("There is no such draft any more.")
        draft.dropped_at, draft.changed_at = None, now_ms
    return draft


def save_as_job(number: int, by: str, now_ms: int, house: HouseRules) -> JobRow:
    """The draft as a new job, or as a new revision of the job that it changes; the draft is done then. A second
    tap finds it done and makes nothing.

    Raises UnknownDraft, DraftUnfinished, DraftOvertaken once, and what `add_job` and `add_revision` raise.
    """
    with writing():
        draft = find_draft(number)
        if draft is not None and _is_saved(draft):
            assert draft.job is not None  # it was saved as that one
            return draft.job
        draft = _open(number)
        overtaken = _overtaken(draft)
        if not overtaken:
            return _saved(draft, by, now_ms, house)
        assert draft.job is not None  # or nothing could overtake it
        draft.revision = len(draft.job.revisions)
    raise DraftOvertaken(overtaken)


def _is_saved(draft: DraftRow) -> bool:
    return draft.dropped_at is not None and draft.job_id is not None and not draft.outline_text


def _overtaken(draft: DraftRow) -> str:
    newest = draft.job.revisions[-1] if draft.job else None
    if newest is None or newest.number == draft.revision:
        return ""
    return (
        f"{newest.created_by} has changed this job to revision {newest.number} since you began; look at it, "
        "and save once more to put yours in its place."
    )


def _saved(draft: DraftRow, by: str, now_ms: int, house: HouseRules) -> JobRow:
    reading = read_draft(draft)
    if reading.job is None:
        raise DraftUnfinished("Something is still missing or wrong; it stands beside its field.")
    source = JobSource(reading.job, reading.toml_text, reading.job.design.outline, draft.outline_text)
    job = (
        add_revision(draft.job, source, by, now_ms, house)
        if draft.job
        else add_job(source, by, now_ms, house)
    )
    db.session.flush()
    draft.job_id, draft.dropped_at, draft.outline_text = job.id, now_ms, ""
    return job


def plain_name(name: str) -> str:
    """A name for the outline beside its job file, made from the one it was sent by."""
    stem = re.sub(r"\.svg$", "", name.replace("\\", "/").rpartition("/")[2], flags=re.IGNORECASE)
    plain = re.sub(r"[^A-Za-z0-9]+", "-", stem).strip("-")[:MAX_NAME_CHARACTERS]
    return f"{plain or 'outline'}.svg"


def _made(by: str, now_ms: int) -> dict[str, object]:
    return {"outline_name": "", "outline_text": "", "made_by": by, "changed_at": now_ms}


def _keep(draft: DraftRow) -> DraftRow:
    with writing():
        db.session.add(draft)
    return draft


def _emptied(usual: Form, form: Form) -> Form:
    """The usual form's keys without their values; of layers, for as many as the form has."""
    keys = [key for key in usual if not key.startswith("layer.")]
    parts = [key.removeprefix("layer.0.") for key in usual if key.startswith("layer.0.")]
    layers = sorted({key.split(".")[1] for key in form if key.startswith("layer.")})
    return dict.fromkeys([*keys, *(f"layer.{index}.{part}" for index in layers for part in parts)], "")


def _open(number: int) -> DraftRow:
    draft = find_draft(number)
    if draft is None or draft.dropped_at is not None:
        raise UnknownDraft("There is no such draft any more; it was dropped, or saved as a job.")
    return draft
