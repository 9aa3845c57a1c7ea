"""Drafts of jobs: which are open, and what one of them says so far."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from sqlalchemy import select

from floor.domain.job import Job
from floor.domain.outline import Outline, OutlineError, read_outline
from floor.domain.region import region_of
from floor.domain.route import Route
from floor.domain.sewable import check_sewable
from floor.jobfile import JobFileErrors, RouteNeeds, read_job
from floor.jobfile.form import GARMENTS, Form, data_of_form
from floor.jobfile.writing import Data, write_job_text
from floor.queries.fault_words import form_sentence
from floor.queries.shop_routes import needs_of_route, shop_route
from floor.queries.views import plan_of
from floor.store.models import DraftRow, db

OUTLINE = "design.outline"
STILL_EMPTY = "This is still empty; fill it in."
OUTLINES_KEPT_IN_MEMORY = 16


@dataclass(frozen=True)
class OutlineState:
    """`name`: "" while no outline was chosen; `outline`: None while there is none that can be sewn; in its own
    units. `digest`: another for another drawing."""

    name: str
    outline: Outline | None
    digest: str


@dataclass(frozen=True)
class DraftReading:
    """What a draft says. `faults`: (form key, sentence); `job`: None while there is any fault.

    `sketch`: the job as far as a plan needs it, with stand-ins for what no plan depends on (title, names,
    colours, garments); None while a number that the plan needs is missing or wrong.
    """

    form: Form
    route: Route
    data: Data
    toml_text: str
    job: Job | None
    sketch: Job | None
    faults: tuple[tuple[str, str], ...]
    outline: OutlineState


def open_drafts() -> list[DraftRow]:
    """The newest first."""
    rows = (
        select(DraftRow)
        .where(DraftRow.dropped_at.is_(None))
        .order_by(DraftRow.changed_at.desc(), DraftRow.id)
    )
    return list(db.session.scalars(rows))


def find_draft(number: int) -> DraftRow | None:
    """The draft, dropped or not."""
    return db.session.get(DraftRow, number)


def read_draft(row: DraftRow) -> DraftReading:
    """The draft as the job file's own reader understands it. Raises UnknownRoute."""
    form = dict(row.form)
    data, list_faults = data_of_form(form)
    outline, outline_fault = _outline_state(row)
    data.setdefault("design", {})["outline"] = row.outline_name or "outline.svg"
    toml_text = write_job_text(data)
    route = _route_of(row)
    routes = {route.id: needs_of_route(route)}
    job, faults = _read(toml_text, form, routes)
    if list_faults:
        faults = [(key, sentence) for key, sentence in faults if key != GARMENTS]
        faults += [(GARMENTS, sentence) for sentence in list_faults]
    if outline_fault:
        faults.append((OUTLINE, outline_fault))
    sketch = job or _read(write_job_text(_sketched(data)), form, routes)[0]
    return DraftReading(form, route, data, toml_text, None if faults else job, sketch, tuple(faults), outline)


def _route_of(row: DraftRow) -> Route:
    """The route that the draft goes: its job's own, which the shop may have done away with, else the shop's."""
    own = plan_of(row.job.revisions[-1]).route if row.job else None
    return own if own and own.id == row.form["route"] else shop_route(row.form["route"])


def _read(
    toml_text: str, form: Mapping[str, str], routes: Mapping[str, RouteNeeds]
) -> tuple[Job | None, list[tuple[str, str]]]:
    try:
        return read_job(toml_text, None, routes), []
    except JobFileErrors as wrong:
        return None, [_fault(error.path, error.message, form) for error in wrong.errors]


def _fault(path: tuple[str | int, ...], message: str, form: Mapping[str, str]) -> tuple[str, str]:
    """A fault of the file at the form's field, in the form's words."""
    if path[:1] == ("garment",):
        empty = not form.get(GARMENTS, "").strip()
        return (
            GARMENTS,
            "No garment is listed; paste sizes and names, or write M x 4."
            if empty
            else form_sentence(GARMENTS, message),
        )
    key = ".".join(map(str, path))
    if key not in form and f"{key}.0" in form:
        key = f"{key}.0"  # of two lengths side by side, both missing
    if key in form and not form[key].strip():
        return key, STILL_EMPTY
    return key, form_sentence(key, message)


def _sketched(data: Data) -> Data:
    """The data with stand-ins for what the plan does not depend on, where they are missing."""
    layers = [
        {"name": f"layer {index}", "fabric": "cloth", "colour": "white", **layer}
        | {"border": {"thread": "thread", **layer.get("border", {})}}
        for index, layer in enumerate(data.get("layer", []), 1)
    ]
    garments = data.get("garment") or [{"size": size, "count": 1} for size in _typed_sizes(data)]
    return {
        "title": "job",
        "customer": "customer",
        **data,
        "due": date(2000, 1, 1),
        "layer": layers,
        "garment": garments,
    }


def _typed_sizes(data: Data) -> list[str]:
    return list(data.get("opening", {}).get("sizes", {})) or ["all sizes"]


def _outline_state(row: DraftRow) -> tuple[OutlineState, str]:
    digest = hashlib.sha256(row.outline_text.encode("utf-8", "surrogatepass")).hexdigest()
    if not row.outline_text:
        return OutlineState("", None, digest), "No outline is chosen yet; choose the design's SVG file."
    found = _outline(row.outline_text)
    if isinstance(found, str):
        return OutlineState(row.outline_name, None, digest), f"The outline cannot be sewn: {found}."
    return OutlineState(row.outline_name, found, digest), ""


@lru_cache(maxsize=OUTLINES_KEPT_IN_MEMORY)
def _outline(text: str) -> Outline | str:
    """The outline, or why there is none: both are the same each time, and reading takes a while."""
    try:
        found = read_outline(text)
        check_sewable(region_of(found))
        return found
    except OutlineError as wrong:
        return str(wrong)
