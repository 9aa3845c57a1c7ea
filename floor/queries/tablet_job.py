"""What the tablet's job page shows, and what its one big button proposes."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from floor.domain.english import numbered
from floor.domain.problems import REDO_CAUSES
from floor.domain.progress import GarmentProgress, JobProgress
from floor.domain.route import Section
from floor.domain.ticket import show_code
from floor.queries.tablet import GOING, run_line, shop
from floor.queries.views import JobView, job_view
from floor.store.models import JobRow, RunRow, db

Page = dict[str, Any]


def job(row: JobRow, chosen: int | None) -> Page:
    """A job on the tablet: what is done, what is under way, and what to start next."""
    view = job_view(row)
    runs = db.session.scalars(
        select(RunRow)
        .where(RunRow.job_id == row.id, RunRow.status.in_(GOING))
        .order_by(RunRow.last_at.desc())
    )
    garments = view.progress.garments
    return {
        "screen": "job",
        "shop": shop(),
        "job": {
            **job_line(view),
            "due": view.job.due.isoformat(),
            "revision": view.revision,
            "finished": sum(g.finished for g in garments.values()),
            "load_size": view.load_size,
        },
        "sections": [_section(view, section) for section in view.sections],
        "garments": [
            {
                "number": garment.number,
                "size": garment.size,
                "name": garment.name,
                "finished": garments[garment.number].finished,
                "scraps": garments[garment.number].scraps,
                "awaits_restart": garments[garment.number].awaits_restart,
                "cells": [_cell(view.progress, garments[garment.number], s) for s in _of_loads(view)],
            }
            for garment in view.job.garments
        ],
        "approval": approval_sentence(view),
        "first_piece": {
            "owed": view.progress.approval_owed,
            "garments": list(view.progress.first_piece),  # empty: whichever load comes first
        },
        "next": next_load(view, chosen),
        "runs": [run_line(run, row) for run in runs],
        "redo_causes": dict(REDO_CAUSES),
        "picture": f"/tablet/picture/{row.code}/{view.revision}/closed.svg",
        "chosen": chosen if chosen in garments else None,
    }


def job_line(view: JobView) -> Page:
    return {
        "code": view.row.code,
        "code_shown": show_code(view.row.code),
        "title": view.row.title,
        "customer": view.row.customer,
        "garment_count": len(view.job.garments),
    }


def _of_loads(view: JobView) -> tuple[Section, ...]:
    return view.progress.load_sections


def _section(view: JobView, section: Section) -> Page:
    state, run = "later", None
    if section.scope == "job":
        done, going = view.progress.job_done, view.progress.job_under_way
        first_owed = view.progress.open_job_section
        if section.key in done:
            state, run = "done", done[section.key]
        elif section.key in going:
            state, run = "under way", going[section.key]
        elif first_owed is not None and first_owed.key == section.key:
            state = "next"
    return {
        "key": section.key,
        "title": section.title,
        "scope": section.scope,
        "place": section.place,
        "front": section.front,
        "state": state,
        "run": run,
    }


def _cell(progress: JobProgress, garment: GarmentProgress, section: Section) -> Page:
    upcoming = progress.next_section(garment.number)
    state, run = "later", None
    if garment.under_way and garment.under_way_section == section.key:
        state, run = "under way", garment.under_way
    elif section.key in garment.done:
        state, run = "done", garment.done[section.key]
    elif upcoming is not None and upcoming.key == section.key and not garment.under_way:
        state = "next"
    return {
        "section": section.key,
        "state": state,
        "run": run,
        "attempt": garment.attempts.get(section.key, 0),
    }


def approval_sentence(view: JobView) -> str:
    """Why the batch waits; "" when it does not, or when nothing has begun yet."""
    first = view.progress.first_piece
    if not view.progress.approval_owed or not first:
        return ""
    return f"The batch waits until the first piece, {numbered('garment', list(first))}, is approved."


def next_load(view: JobView, chosen: int | None = None) -> Page | None:
    """What the one big button proposes: the job's own preparation, else the load that is furthest on."""
    progress = view.progress
    owed = progress.open_job_section
    if owed is not None:
        if owed.key in progress.job_under_way:
            return None
        return {
            "section": owed.key,
            "title": owed.title,
            "garments": [],
            "first_piece": False,
            "sentence": owed.title,
        }
    held = progress.approval_owed and bool(progress.first_piece)
    ready = [
        garment
        for garment in view.job.garments
        if not progress.garments[garment.number].under_way
        and progress.next_section(garment.number) is not None
        and (not held or garment.number in progress.first_piece)
    ]
    if not ready:
        return None
    keys = [section.key for section in progress.load_sections]

    def further(number: int) -> tuple[bool, int, int]:
        upcoming = progress.next_section(number)
        assert upcoming is not None  # only garments that need something are ready
        return number != chosen, -keys.index(upcoming.key), number

    lead = min(ready, key=lambda garment: further(garment.number))
    section = progress.next_section(lead.number)
    assert section is not None
    load = [lead] + [
        garment
        for garment in ready
        if garment.number != lead.number
        and progress.next_section(garment.number) == section
        and (view.job.opening is None or garment.size == lead.size)
    ]
    load = sorted(load[: view.load_size], key=lambda garment: garment.number)
    numbers = [garment.number for garment in load]
    which = numbered("garment", numbers) + (f" ({lead.size})" if len(load) == 1 else "")
    return {
        "section": section.key,
        "title": section.title,
        "garments": numbers,
        "first_piece": progress.approval_owed,
        "sentence": f"{section.title}, {which}",
    }
